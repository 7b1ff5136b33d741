/** What soils, drains, lorries and sports are called. */
import type { Drainage, LorryAccess, Sharing, Soil, Sport } from '$lib/api/types';

export const soilWords: Record<Soil, string> = {
	clay: 'Clay',
	clay_loam: 'Clay loam',
	loam: 'Loam',
	silt_loam: 'Silt loam',
	sandy_loam: 'Sandy loam',
	sand: 'Sand'
};

export const drainageWords: Record<Drainage, string> = {
	none: 'No drains',
	slit: 'Slit drains',
	pipe: 'Pipe drains',
	pipe_and_slit: 'Pipe and slit drains'
};

export const lorryWords: Record<LorryAccess, string> = {
	none: 'No lorry can get in',
	rigid: 'A rigid lorry can get in',
	articulated: 'An articulated lorry can get in'
};

export const sportWords: Record<Sport, string> = {
	rugby_union: 'Rugby union',
	rugby_league: 'Rugby league',
	football: 'Football',
	cricket_outfield: 'Cricket outfield',
	hockey: 'Hockey',
	other: 'Other'
};

export const sharingWords: Record<Sharing, { word: string; means: string }> = {
	named: {
		word: 'Named',
		means: 'Other clubs see our pitches’ scores with our name and the distance to us.'
	},
	counted: {
		word: 'Counted only',
		means: 'Our scores count in comparisons, but nobody sees that they are ours.'
	}
};
