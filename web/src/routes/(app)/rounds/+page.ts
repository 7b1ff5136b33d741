import { listRounds } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const rounds = await listRounds(here.id);
	const over = (state: string) => state === 'finished' || state === 'called_off';
	return {
		open: rounds.filter((round) => !over(round.state)).sort((a, b) => a.from_on.localeCompare(b.from_on)),
		over: rounds.filter((round) => over(round.state)).sort((a, b) => b.from_on.localeCompare(a.from_on))
	};
};
