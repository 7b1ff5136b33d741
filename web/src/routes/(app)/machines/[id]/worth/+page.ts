import { getMachineWorth } from '$lib/hire_shares/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const number = (name: string) => {
		const text = url.searchParams.get(name);
		return text !== null && /^\d+$/.test(text) ? Number(text) : undefined;
	};
	const question = { season: number('season'), price_pence: number('price_pence'), years: number('years') };
	return { worth: await getMachineWorth(here.id, params.id, question), question };
};
