/** Places of a planned round: offered, answered, taken back, booked. */
import { get, inNetwork, post } from '$lib/api/client';
import type { OfferedPlace, RoundOffers } from '$lib/api/types';

const of = (n: string, round: string, ...parts: string[]) => inNetwork(n, 'rounds', round, ...parts);

export const getOffers = (n: string, round: string) => get<RoundOffers>(of(n, round, 'offers'));
export const offerPlan = (
	n: string,
	round: string,
	body: { plan_id: string; answer_by: string; offers_on: boolean },
	key: string
) => post<RoundOffers>(of(n, round, 'offers'), { body, key });
export const remindClubs = (n: string, round: string) =>
	post<RoundOffers>(of(n, round, 'offers', 'reminder'), { body: {} });
export const takeBackOffers = (n: string, round: string, reason: string) =>
	post<RoundOffers>(of(n, round, 'offers', 'taking-back'), { body: { reason } });
export const agreeRound = (n: string, round: string, key: string) =>
	post<RoundOffers>(of(n, round, 'agreement'), { key });
export const answerPlace = (n: string, offer: string, accepted: boolean, reason: string) =>
	post<OfferedPlace>(inNetwork(n, 'offers', offer, 'answer'), { body: { accepted, reason } });
