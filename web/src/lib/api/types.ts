/**
 * The shapes that cross the wire, by the names the pages use. All of them come from the API document through
 * `schema.d.ts`; nothing is described twice.
 */
import type { components } from './schema';

type Schemas = components['schemas'];

/** An answer as the server writes it: what may be null is there as null, never left out. */
type Whole<T> = T extends (infer U)[]
	? Whole<U>[]
	: T extends object
		? { [K in keyof T]-?: Whole<Exclude<T[K], undefined>> }
		: T;

export type Span = Schemas['Span'];

export type RoleName = Schemas['Role'];
export type Role = Whole<Schemas['MyRole']>;
export type MyNetwork = Whole<Schemas['MyNetwork']>;
export type Me = Whole<Schemas['Me']>;
export type InvitationToMe = Whole<Schemas['InvitationOffer']>;

export type Network = Whole<Schemas['Network']>;
export type PersonInNetwork = Whole<Schemas['PersonInNetwork']>;
export type Invitation = Whole<Schemas['Invitation']>;
export type Mail = Whole<Schemas['Mail']>;
export type Need = Whole<Schemas['Need']>;
export type ImportFault = Whole<Schemas['ImportFault']>;
export type ImportReport = Whole<Schemas['ImportReport']>;

export type Sharing = Schemas['Sharing'];
export type Soil = Schemas['Soil'];
export type Drainage = Schemas['Drainage'];
export type LorryAccess = Schemas['LorryAccess'];
export type Sport = Schemas['Sport'];
export type Club = Whole<Schemas['Club']>;
export type Ground = Whole<Schemas['Ground']>;
export type Pitch = Whole<Schemas['Pitch']>;

export type Closure = Whole<Schemas['Closure']>;

export type SoldBy = Schemas['SoldBy'];
export type ProductKind = Schemas['ProductKind'];
export type Supplier = Whole<Schemas['Supplier']>;
export type Product = Whole<Schemas['Product']>;

export type MachineKind = Schemas['MachineKind'];
export type Linkage = Schemas['Linkage'];
export type WhoMayBook = Schemas['WhoMayBook'];
export type Availability = Whole<Schemas['Availability']>;
/** What is sent to add or change a machine: everything, with null for what it has not. */
export type MachineFacts = Whole<Schemas['MachineEntry']>;
export type Machine = Whole<Schemas['Machine']>;
export type Board = Whole<Schemas['Board']>;
export type BoardRound = Whole<Schemas['BoardRound']>;
export type BoardMachine = Whole<Schemas['BoardMachine']>;
export type BoardBooking = Whole<Schemas['BoardBooking']>;
export type ChargePart = Whole<Schemas['ChargePart']>;
export type Charge = Whole<Schemas['Charge']>;
export type Reckoning = Whole<Schemas['Reckoning']>;
export type BookingState = Schemas['BookingState'];
export type Booking = Whole<Schemas['Booking']>;

export type RoundState = Schemas['RoundState'];
export type Round = Whole<Schemas['Round']>;
export type RoundMachine = Whole<Schemas['RoundMachine']>;
export type RoundTerms = Whole<Schemas['RoundTerms']>;
export type Hire = Whole<Schemas['Hire']>;
/** What is sent to hire a machine: everything, with null for what it has not. */
export type HireFacts = Whole<Schemas['CreateHire']>;
export type HireChange = Whole<Schemas['ChangeHire']>;
export type RoundRequest = Whole<Schemas['PlaceRequest']>;
/** What is sent to ask for a place, or to change a request. */
export type RequestFacts = Whole<Schemas['CreateRequest']>;
/** What a club thinks of asking, and what the work comes to. */
export type RequestThought = Whole<Schemas['PreviewRequest']>;
export type RequestPreview = Whole<Schemas['RequestPreview']>;
export type PreviewedWork = Whole<Schemas['PreviewedWork']>;
export type ClubCrews = Whole<Schemas['ClubCrews']>;
export type Road = Whole<Schemas['Road']>;
export type DepotRoad = Whole<Schemas['DepotRoad']>;
export type ClubTurns = Whole<Schemas['ClubTurns']>;
export type TurnKind = Schemas['TurnKind'];

export type PlanOrder = Schemas['PlanOrder'];
export type LevelName = Schemas['LevelName'];
export type PlannedRound = Whole<Schemas['PlannedRound']>;
export type Plan = Whole<Schemas['Plan']>;
export type PlannedPlace = Whole<Schemas['PlannedPlace']>;
export type Pin = Whole<Schemas['Pin']>;
/** What is sent to pin a request or to forbid it a place. */
export type PinFacts = Whole<Schemas['MakePin']>;
export type Trial = Whole<Schemas['Trial']>;

export type OfferState = Schemas['OfferState'];
export type RoundOffers = Whole<Schemas['RoundOffers']>;
export type OfferedPlace = Whole<Schemas['OfferedPlace']>;

export type ChangeKind = Schemas['ChangeKind'];
export type PlanLevel = Whole<Schemas['PlanLevel']>;
export type PlaceThen = Whole<Schemas['PlaceThen']>;
export type Replan = Whole<Schemas['Replan']>;
export type ReplanChange = Whole<Schemas['ReplanChange']>;

export type OrderState = Schemas['OrderState'];
export type OrderStep = Schemas['OrderStep'];
export type PriceBreak = Whole<Schemas['PriceBreak']>;
export type PooledOrder = Whole<Schemas['PooledOrder']>;
export type Share = Whole<Schemas['Share']>;

export type CriterionKey = Schemas['CriterionKey'];
export type Criterion = Whole<Schemas['Criterion']>;
export type Reading = Whole<Schemas['CreateReadings']>;
export type Walk = Whole<Schemas['Walk']>;
export type Scheme = Whole<Schemas['Scheme']>;
export type SchemePoint = Whole<Schemas['SchemePoint']>;
export type SchemeSummary = Whole<Schemas['SchemeVersion']>;
export type Comparison = Whole<Schemas['Comparison']>;
export type Mark = Whole<Schemas['ComparisonMark']>;

export type Waiter = Whole<Schemas['Waiter']>;
export type StandingWish = Whole<Schemas['StandingWish']>;
export type StandingPreview = Whole<Schemas['StandingPreview']>;
export type Occurrence = Whole<Schemas['Occurrence']>;
export type Standing = Whole<Schemas['Standing']>;
export type Swap = Whole<Schemas['Swap']>;

export type Attachment = Whole<Schemas['Attachment']>;
export type Direction = Schemas['Direction'];
export type Severity = Schemas['Severity'];
export type Decision = Schemas['Decision'];
export type ServiceStanding = Schemas['ServiceStanding'];
export type HandoverWish = Schemas['CreateHandover'];
export type FaultWish = Schemas['CreateFault'];
export type Handover = Whole<Schemas['Handover']>;
export type Fault = Whole<Schemas['Fault']>;
export type BookingHandovers = Whole<Schemas['BookingHandovers']>;
export type MachineCare = Whole<Schemas['MachineCare']>;
export type Service = Whole<Schemas['ServiceView']>;
export type Manual = Whole<Schemas['Manual']>;
export type Training = Whole<Schemas['Training']>;
export type ShareRule = Schemas['ShareRule'];
export type HireBill = Whole<Schemas['HireBill']>;
export type HireCosts = Whole<Schemas['HireCosts']>;
export type HireShare = Whole<Schemas['HireShare']>;
export type MachineWorth = Whole<Schemas['MachineWorth']>;
