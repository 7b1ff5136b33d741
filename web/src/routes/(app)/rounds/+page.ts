import { listRequests, listRounds } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const rounds = await listRounds(here.id);
	const over = (state: string) => state === 'finished' || state === 'called_off';
	const gathering = here.clubs.length > 0 ? rounds.filter((round) => round.state === 'gathering') : [];
	const own = await Promise.all(
		gathering.map(async ({ round_id }): Promise<[string, number]> => {
			const requests = await listRequests(here.id, round_id);
			return [round_id, requests.filter((request) => here.owns(request.club_id)).length];
		})
	);
	return {
		own: Object.fromEntries(own),
		open: rounds.filter((round) => !over(round.state)).sort((a, b) => a.from_on.localeCompare(b.from_on)),
		over: rounds.filter((round) => over(round.state)).sort((a, b) => b.from_on.localeCompare(a.from_on))
	};
};
