/* eslint max-lines: off */
/** The shapes that cross the wire, by the names the API document gives them. */

export interface PageOf<T> {
	items: T[];
	next_cursor: string | null;
}

/** Network-local wall times on half-day boundaries, half-open. */
export interface Span {
	from: string;
	until: string;
}

export type RoleName = 'coordinator' | 'grounds_lead' | 'treasurer' | 'volunteer';

export interface Role {
	role: RoleName;
	club_id: string | null;
	club_name: string | null;
}
export interface MyNetwork {
	network_id: string;
	name: string;
	time_zone: string;
	roles: Role[];
}
export interface Me {
	person_id: string;
	name: string;
	email: string;
	networks: MyNetwork[];
}
export interface InvitationToMe {
	network_name: string;
	club_name: string | null;
	role: RoleName;
	email: string;
	name: string;
	has_account: boolean;
}

export interface Network {
	network_id: string;
	name: string;
	time_zone: string;
	club_count: number;
	pitch_count: number;
	machine_count: number;
	people_count: number;
}
export interface PersonInNetwork {
	person_id: string;
	name: string;
	email: string;
	roles: (Role & { membership_id: string })[];
}
export interface Invitation {
	invitation_id: string;
	email: string;
	name: string;
	role: RoleName;
	club_id: string | null;
	club_name: string | null;
	expires_at: string;
	state: 'waiting' | 'accepted' | 'withdrawn' | 'expired';
}
export interface Mail {
	mail_id: string;
	to: string;
	subject: string;
	state: 'waiting' | 'sent' | 'parked';
	queued_at: string;
	sent_at: string | null;
	attempts: number;
	last_error: string | null;
	text: string | null;
}
export interface Need {
	kind: string;
	sentence: string;
	href: string;
	due_at: string | null;
}

export type Sharing = 'named' | 'counted';
export interface Club {
	club_id: string;
	name: string;
	sharing: Sharing;
	ground_count: number;
	pitch_count: number;
	version: number;
}
export type Soil = 'clay' | 'clay_loam' | 'loam' | 'silt_loam' | 'sandy_loam' | 'sand';
export type Drainage = 'none' | 'slit' | 'pipe' | 'pipe_and_slit';
export type LorryAccess = 'none' | 'rigid' | 'articulated';
export interface Ground {
	ground_id: string;
	club_id: string;
	club_name: string;
	name: string;
	latitude_deg: number;
	longitude_deg: number;
	soil: Soil;
	drainage: Drainage;
	lorry_access: LorryAccess;
	hard_standing: boolean;
	tractor_kw: number | null;
	version: number;
}
export type Sport = 'rugby_union' | 'rugby_league' | 'football' | 'cricket_outfield' | 'hockey' | 'other';
export interface LatestScore {
	walk_id: string;
	score: number;
	score_se: number;
	walked_on: string;
}
export interface Pitch {
	pitch_id: string;
	ground_id: string;
	ground_name: string;
	club_id: string;
	club_name: string;
	name: string;
	sport: Sport;
	length_m: number;
	width_m: number;
	area_m2: number;
	soil: Soil;
	drainage: Drainage;
	latest_score: LatestScore | null;
	version: number;
}
export interface ImportFault {
	line: number;
	column: string | null;
	reason: string;
}
export interface ImportReport {
	dry_run: boolean;
	clubs: number;
	grounds: number;
	pitches: number;
	faults: ImportFault[];
}
export interface Supplier {
	supplier_id: string;
	name: string;
	email: string | null;
	phone: string | null;
	note: string;
	version: number;
}
export type SoldBy = 'tonne' | 'bag';
export type ProductKind = 'sand' | 'seed' | 'feed' | 'other';
export interface Product {
	product_id: string;
	name: string;
	kind: ProductKind;
	sold_by: SoldBy;
	unit_kg: number;
	vat_basis_points: number;
	note: string;
	version: number;
}

export type MachineKind =
	'deep_tine_aerator' | 'spiker' | 'slitter' | 'topdresser' | 'seeder' | 'brush' | 'mower' | 'other';
export type Linkage = 'none' | 'category_1' | 'category_2' | 'drawbar' | 'pedestrian';
export type WhoMayBook = 'every_club' | 'owner_only' | 'named_clubs';
export interface Availability extends Span {
	availability_id: string;
}
export interface MachineFacts {
	name: string;
	kind: MachineKind;
	owner_club_id: string | null;
	width_m: number;
	speed_km_h: number;
	field_efficiency: number;
	max_depth_mm: number | null;
	tine_spacing_across_mm: number | null;
	tine_spacing_forward_mm: number | null;
	tractor_kw: number | null;
	linkage: Linkage;
	transport_kg: number;
	charge_per_half_day_pence: number | null;
	charge_per_day_pence: number | null;
	charge_per_use_pence: number | null;
	shortest_half_days: number;
	longest_half_days: number;
	gap_half_days: number;
	who_may_book: WhoMayBook;
	named_club_ids: string[];
	coordinator_agrees: boolean;
	note: string;
	retired: boolean;
}
export interface Machine extends MachineFacts {
	machine_id: string;
	owner_club_name: string | null;
	availabilities: Availability[];
	version: number;
}

export type BookingState = 'asked' | 'agreed' | 'refused' | 'cancelled';
export interface BoardBooking {
	booking_id: string;
	club_id: string;
	club_name: string;
	span: Span;
	held_until: string;
	state: BookingState;
	yours: boolean;
}
export interface BoardMachine {
	machine_id: string;
	name: string;
	kind: MachineKind;
	availabilities: Span[];
	free: Span[];
	bookings: BoardBooking[];
}
export interface Board {
	from_on: string;
	days: number;
	machines: BoardMachine[];
}
export interface ChargePart {
	what: 'half_day' | 'day' | 'use';
	count: number;
	unit_pence: number;
	pence: number;
}
export interface Charge {
	charge_pence: number;
	parts: ChargePart[];
}
export interface Proposal {
	span: Span;
	charge_pence: number;
	charge_parts: ChargePart[];
}
export interface Reckoning {
	capacity_ha_per_h: number;
	capacity_formula: string;
	pitches: { pitch_id: string; name: string; area_m2: number; hours: number }[];
	hours: number;
	half_days: number;
	longest_half_days: number;
	holes_per_m2: number | null;
	proposals: Proposal[];
	source: string;
}
export interface Booking {
	booking_id: string;
	machine_id: string;
	machine_name: string;
	club_id: string;
	club_name: string;
	span: Span;
	half_days: number;
	held_until: string;
	state: BookingState;
	charge_pence: number;
	pitches: { pitch_id: string; name: string }[];
	note: string;
	answer_reason: string | null;
	booked_by_name: string;
	yours: boolean;
	version: number;
}

export type OrderState = 'gathering' | 'closed' | 'placed' | 'delivered' | 'settled' | 'called_off';
export interface PriceBreak {
	from_kg: number;
	price_pence: number;
}
export interface Sum {
	goods_pence: number;
	vat_pence: number;
	total_pence: number;
}
export interface OrderLine {
	club_id: string;
	club_name: string;
	quantity_kg: number;
	version: number;
	yours: boolean;
	/** Null where the money is not this person's to see. */
	share: Sum | null;
	alone: Sum | null;
}
export interface PooledOrder {
	order_id: string;
	title: string;
	product: { product_id: string; name: string; kind: ProductKind; sold_by: SoldBy };
	supplier: { supplier_id: string; name: string };
	unit_kg: number;
	pack_kg: number;
	vat_basis_points: number;
	smallest_kg: number;
	price_breaks: PriceBreak[];
	closes_at: string;
	delivery_from_on: string;
	delivery_until_on: string;
	note: string;
	state: OrderState;
	called_off_reason: string | null;
	total_kg: number;
	club_count: number;
	price_pence: number | null;
	next_break: {
		from_kg: number;
		missing_kg: number;
		price_pence: number;
		saving_all_pence: number;
		saving_yours_pence: number | null;
	} | null;
	goods_pence: number;
	vat_pence: number;
	lines: OrderLine[];
	split_rule: string;
	version: number;
}
export type OrderStep = 'place' | 'deliver' | 'settle' | 'call_off';
export interface Share extends Sum {
	order_id: string;
	title: string;
	club_id: string;
	entered_at: string;
	order_state: OrderState;
}

export interface Criterion {
	criterion: string;
	name: string;
	unit: string;
	method: string;
	how: string;
	optional: boolean;
	lowest: number;
	highest: number;
	plausible_low: number;
	plausible_high: number;
	recommended_readings: number;
	recommended_by: string;
}
export interface Reading {
	criterion: string;
	values: number[];
}
export interface WalkCriterion {
	criterion: string;
	name: string;
	unit: string;
	n: number;
	mean: number;
	sd: number;
	score: number;
	score_se: number;
	weight: number;
	values: number[];
}
export interface Walk {
	walk_id: string;
	pitch_id: string;
	pitch_name: string;
	club_id: string;
	club_name: string;
	walked_on: string;
	walked_by_name: string;
	scheme_version: number;
	score: number;
	score_se: number;
	criteria: WalkCriterion[];
	/** Measured, but not in the scheme the walk was scored with. */
	unscored: { criterion: string; name: string; unit: string; values: number[] }[];
	missing: string[];
	note: string;
}
export interface SchemePoint {
	measured: number;
	score: number;
}
export interface SchemeCriterion {
	criterion: string;
	name: string;
	unit: string;
	weight: number;
	points: SchemePoint[];
}
export interface Scheme {
	version: number;
	note: string;
	criteria: SchemeCriterion[];
}
export interface SchemeSummary {
	version: number;
	note: string;
	created_at: string;
	created_by_name: string | null;
}
export interface Mark {
	score: number;
	score_se: number;
	yours: boolean;
	club_name: string | null;
	pitch_name: string | null;
	distance_km: number | null;
}
export interface Comparison {
	pitch_id: string;
	pitch_name: string;
	own: { score: number; score_se: number; walked_on: string } | null;
	basis: {
		within_km: number | null;
		nearest: number | null;
		sport: string | null;
		soil: string | null;
		walked_since_on: string;
		note: string;
	};
	others: number;
	fewest_others: number;
	shown: boolean;
	reason_not_shown: string | null;
	percentile: number | null;
	percentile_definition: string;
	rank: number | null;
	marks: Mark[];
	criteria: {
		criterion: string;
		name: string;
		own_mean: number | null;
		unit: string;
		own_score: number | null;
		others_median_score: number | null;
	}[];
}
