import { listPitches } from '$lib/clubs/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const pitches = await listPitches(here.id);
	const own = pitches.filter((pitch) => here.owns(pitch.club_id));
	return { pitches: here.isCoordinator ? pitches : own };
};
