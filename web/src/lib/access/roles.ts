/** What the roles are called, and what each may do. The server decides; this only spares people dead ends. */
import type { Role, RoleName } from '$lib/api/types';

export const roleWords: Record<RoleName, string> = {
	coordinator: 'Coordinator',
	grounds_lead: 'Grounds lead',
	treasurer: 'Treasurer',
	volunteer: 'Volunteer'
};

/** Things a person may do in the whole network or for one club. */
export type Deed =
	'coordinate' | 'book' | 'order' | 'walk' | 'hand_over' | 'see_money' | 'look_after_club' | 'invite';

const byRole: Record<RoleName, Deed[]> = {
	coordinator: ['coordinate', 'book', 'order', 'walk', 'hand_over', 'see_money', 'look_after_club', 'invite'],
	grounds_lead: ['book', 'order', 'walk', 'hand_over', 'see_money', 'look_after_club', 'invite'],
	treasurer: ['see_money'],
	volunteer: ['walk', 'hand_over']
};

/** Whether these roles allow the deed, for a club or (without one) anywhere. A coordinator acts for every club. */
export function allows(roles: Role[], deed: Deed, clubId?: string): boolean {
	return roles.some(
		(held) =>
			byRole[held.role].includes(deed) &&
			(held.role === 'coordinator' || clubId === undefined || held.club_id === clubId)
	);
}

/** The clubs a person belongs to, each once, by name. */
export function ownClubs(roles: Role[]): { club_id: string; name: string }[] {
	const clubs = new Map<string, string>();
	for (const held of roles) {
		if (held.club_id !== null) clubs.set(held.club_id, held.club_name ?? '');
	}
	return [...clubs]
		.map(([club_id, name]) => ({ club_id, name }))
		.sort((a, b) => a.name.localeCompare(b.name, 'en-GB'));
}
