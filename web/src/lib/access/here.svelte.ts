/**
 * Who is here, in which network, and what they may do: made once by the signed-in layout, handed down by context
 * to components and by `parent()` to loads.
 */
import { getContext, setContext } from 'svelte';
import type { Me, MyNetwork } from '$lib/api/types';
import { todayIn } from '$lib/time/instants';
import { allows, ownClubs, type Deed } from './roles';

const CHOSEN = 'turfring.network';

export class Here {
	readonly me: Me;
	readonly network: MyNetwork;

	constructor(me: Me, network: MyNetwork) {
		this.me = me;
		this.network = network;
	}

	get id(): string {
		return this.network.network_id;
	}
	get timeZone(): string {
		return this.network.time_zone;
	}
	/** Today's date in the network's time zone. */
	get today(): string {
		// eslint-disable-next-line svelte/prefer-svelte-reactivity -- read once, never changed
		return todayIn(this.timeZone, new Date());
	}
	get clubs(): { club_id: string; name: string }[] {
		return ownClubs(this.network.roles);
	}
	get isCoordinator(): boolean {
		return this.may('coordinate');
	}

	may(deed: Deed, clubId?: string): boolean {
		return allows(this.network.roles, deed, clubId);
	}
	owns(clubId: string): boolean {
		return this.clubs.some((club) => club.club_id === clubId);
	}
}

/** The network remembered on this device, the only one there is, or none: then it has to be chosen. */
export function chosenNetwork(me: Me): MyNetwork | undefined {
	const remembered = localStorage.getItem(CHOSEN);
	return (
		me.networks.find((network) => network.network_id === remembered) ??
		(me.networks.length === 1 ? me.networks[0] : undefined)
	);
}

export function chooseNetwork(networkId: string): void {
	localStorage.setItem(CHOSEN, networkId);
}

const KEY = Symbol('here');

export function provideHere(here: () => Here): void {
	setContext(KEY, here);
}

/** Gives back a function, so that a component follows a change of network. */
export function useHere(): () => Here {
	return getContext<() => Here>(KEY);
}
