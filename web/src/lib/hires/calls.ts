/** Rounds, the hires in them, and requests for a place. */
import { all, get, inNetwork, post, put, remove } from '$lib/api/client';
import type {
	ClubCrews,
	DepotRoad,
	HireChange,
	HireFacts,
	RequestFacts,
	RequestPreview,
	RequestThought,
	Road,
	Round,
	RoundRequest,
	RoundTerms
} from '$lib/api/types';

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
export const changeHire = (n: string, id: string, hireId: string, body: HireChange, version: number) =>
	put<Round>(round(n, id, 'hires', hireId), { body, version });
export const addOwnMachine = (n: string, id: string, machine_id: string, kept_ground_id: string) =>
	post<Round>(round(n, id, 'machines'), { body: { machine_id, kept_ground_id } });

export const listRequests = (n: string, id: string) => all<RoundRequest>(round(n, id, 'requests'));
export const previewRequest = (n: string, id: string, body: RequestThought) =>
	post<RequestPreview>(round(n, id, 'requests', 'preview'), { body });
export const getRequest = (n: string, id: string) => get<RoundRequest>(inNetwork(n, 'requests', id));
export const askForPlace = (n: string, id: string, body: RequestFacts, key: string) =>
	post<RoundRequest>(round(n, id, 'requests'), { body, key });
export const changeRequest = (n: string, id: string, body: RequestFacts, version: number) =>
	put<RoundRequest>(inNetwork(n, 'requests', id), { body, version });
export const withdrawRequest = (n: string, id: string) => remove<RoundRequest>(inNetwork(n, 'requests', id));

/** Only clubs that said otherwise than the usual: one tractor with driver, lent to neighbours. */
export const listCrews = (n: string, id: string) => get<ClubCrews[]>(round(n, id, 'crews'));
export const sayCrews = (n: string, id: string, clubId: string, crews: number, lends: boolean) =>
	put<ClubCrews>(round(n, id, 'crews', clubId), { body: { crews, lends } });

export const listRoads = (n: string, id: string, groundId?: string) =>
	get<Road[]>(round(n, id, 'roads'), { ground_id: groundId });
export const correctRoad = (n: string, from: string, to: string, road_hm: number) =>
	put<Road>(inNetwork(n, 'roads', from, to), { body: { road_hm } });
export const forgetRoad = (n: string, from: string, to: string) =>
	remove<Road>(inNetwork(n, 'roads', from, to));

/** From the yards that clubs fetch machines from to the grounds. */
export const listDepotRoads = (n: string, id: string) => get<DepotRoad[]>(round(n, id, 'depot-roads'));
const depotRoad = (n: string, id: string, { hire_id, to }: DepotRoad) =>
	round(n, id, 'hires', hire_id, 'roads', to.ground_id);
export const correctDepotRoad = (n: string, id: string, road: DepotRoad, road_hm: number) =>
	put<DepotRoad>(depotRoad(n, id, road), { body: { road_hm } });
export const forgetDepotRoad = (n: string, id: string, road: DepotRoad) =>
	remove<DepotRoad>(depotRoad(n, id, road));
