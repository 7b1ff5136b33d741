/** Handovers, faults, and how a machine is looked after. */
import { get, inNetwork, post, put, remove } from '$lib/api/client';
import type {
	Attachment,
	Booking,
	BookingHandovers,
	Decision,
	Fault,
	FaultWish,
	Handover,
	HandoverWish,
	MachineCare,
	MachineKind,
	Service,
	Span,
	Training
} from '$lib/api/types';

export const getHandovers = (n: string, bookingId: string) =>
	get<BookingHandovers>(inNetwork(n, 'bookings', bookingId, 'handovers'));
export const signHandover = (n: string, body: HandoverWish) =>
	// The handover's own id: the same one sent again, even after the phone was switched off, stays one.
	post<Handover>(inNetwork(n, 'handovers'), { body, key: body.handover_id });

export const sendFile = (n: string, id: string, name: string, file: Blob) =>
	post<Attachment>(inNetwork(n, 'attachments'), { query: { attachment_id: id, file_name: name }, file });
export const fileAddress = (n: string, id: string) => `/api/v1${inNetwork(n, 'attachments', id)}`;

export const getCare = (n: string, machineId: string) =>
	get<MachineCare>(inNetwork(n, 'machines', machineId, 'care'));
export const tellOfFault = (n: string, machineId: string, body: FaultWish, key: string) =>
	post<Fault>(inNetwork(n, 'machines', machineId, 'faults'), { body, key });
export const clearFault = (n: string, faultId: string, note: string) =>
	post<Fault>(inNetwork(n, 'faults', faultId, 'clearing'), { body: { note } });

export interface Decided {
	decision: Decision;
	span?: Span;
	machine_id?: string;
	note: string;
}
export const decideBooking = (n: string, bookingId: string, body: Decided) =>
	post<Booking>(inNetwork(n, 'bookings', bookingId, 'decision'), { body });

export interface NewService {
	what: string;
	every_hours: number | null;
	every_months: number | null;
	first_on: string;
	first_meter_h: number | null;
}
export const addService = (n: string, machineId: string, body: NewService, key: string) =>
	post<Service>(inNetwork(n, 'machines', machineId, 'services'), { body, key });
export const endService = (n: string, machineId: string, planId: string) =>
	remove<void>(inNetwork(n, 'machines', machineId, 'services', planId));
export interface NewDone {
	done_on: string;
	/** Without, the last reading of a handover counts. */
	meter_h: number | null;
	note: string;
}
export const enterDone = (n: string, planId: string, body: NewDone, key: string) =>
	post<Service>(inNetwork(n, 'services', planId, 'done'), { body, key });

export const addManual = (n: string, machineId: string, fileId: string, title: string) =>
	post<void>(inNetwork(n, 'machines', machineId, 'manuals'), { body: { attachment_id: fileId, title } });
export const removeManual = (n: string, machineId: string, fileId: string) =>
	remove<void>(inNetwork(n, 'machines', machineId, 'manuals', fileId));

export interface NewTraining {
	club_id: string;
	person_name: string;
	machine_id: string | null;
	machine_kind: MachineKind | null;
	trained_on: string;
	until_on: string | null;
	note: string;
}
export const noteTraining = (n: string, body: NewTraining, key: string) =>
	post<Training>(inNetwork(n, 'trainings'), { body, key });
export const withdrawTraining = (n: string, id: string) => remove<void>(inNetwork(n, 'trainings', id));
export const setTrainingRule = (n: string, machineId: string, warns: boolean) =>
	put<void>(inNetwork(n, 'machines', machineId, 'training-rule'), { body: { warns } });
