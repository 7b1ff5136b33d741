/** Rounds, the hires in them, and requests for a place. */
import { all, get, inNetwork, post, put, remove } from '$lib/api/client';
import type { HireFacts, RequestFacts, Round, RoundRequest, RoundTerms } from '$lib/api/types';

const round = (n: string, ...parts: string[]) => inNetwork(n, 'rounds', ...parts);

export const listRounds = (n: string) => all<Round>(round(n));
/** Those that decide who has their hired machines: they are not booked directly meanwhile. */
export const listOpenRounds = async (n: string) =>
	(await listRounds(n)).filter((each) => ['gathering', 'requests_closed', 'offered'].includes(each.state));
export const getRound = (n: string, id: string) => get<Round>(round(n, id));
export const openRound = (
	n: string,
	body: RoundTerms & { grain: Round['grain']; hire: HireFacts },
	key: string
) => post<Round>(round(n), { body, key });
export const changeRound = (n: string, id: string, body: RoundTerms, version: number) =>
	put<Round>(round(n, id), { body, version });
export const callOffRound = (n: string, id: string, reason: string) =>
	post<Round>(round(n, id, 'calling-off'), { body: { reason } });

export const addHire = (n: string, id: string, body: HireFacts, key: string) =>
	post<Round>(round(n, id, 'hires'), { body, key });
export const addOwnMachine = (n: string, id: string, machine_id: string, kept_ground_id: string) =>
	post<Round>(round(n, id, 'machines'), { body: { machine_id, kept_ground_id } });

export const listRequests = (n: string, id: string) => all<RoundRequest>(round(n, id, 'requests'));
export const getRequest = (n: string, id: string) => get<RoundRequest>(inNetwork(n, 'requests', id));
export const askForPlace = (n: string, id: string, body: RequestFacts, key: string) =>
	post<RoundRequest>(round(n, id, 'requests'), { body, key });
export const changeRequest = (n: string, id: string, body: RequestFacts, version: number) =>
	put<RoundRequest>(inNetwork(n, 'requests', id), { body, version });
export const withdrawRequest = (n: string, id: string) => remove<RoundRequest>(inNetwork(n, 'requests', id));
