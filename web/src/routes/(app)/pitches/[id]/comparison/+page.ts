import { getComparison } from '$lib/walks/calls';
import type { PageLoad } from './$types';

const AREAS: Record<string, { within_km: string; nearest: string }> = {
	'km-10': { within_km: '10', nearest: '' },
	'km-30': { within_km: '30', nearest: '' },
	'km-60': { within_km: '60', nearest: '' },
	'nearest-12': { within_km: '', nearest: '12' }
};

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const asked = url.searchParams.get('area') ?? '';
	const area = asked in AREAS ? asked : 'km-30';
	const either = (name: string, usual: string) => {
		const value = url.searchParams.get(name);
		return value === 'same' || value === 'any' ? value : usual;
	};
	const chosen = { area, sport: either('sport', 'same'), soil: either('soil', 'any') };
	const comparison = await getComparison(here.id, params.id, {
		...(AREAS[area] ?? { within_km: '30', nearest: '' }),
		sport: chosen.sport,
		soil: chosen.soil
	});
	return { comparison, chosen };
};
