/** The network itself: its people, invitations, suppliers, products, imports and the mail it sent. */
import { all, get, inNetwork, post, put, remove } from '$lib/api/client';
import type {
	ImportReport,
	Invitation,
	Mail,
	Network,
	PersonInNetwork,
	Product,
	RoleName,
	SoldBy,
	Supplier
} from '$lib/api/types';

export const getNetwork = (n: string) => get<Network>(inNetwork(n));
export const listPeople = (n: string) => all<PersonInNetwork>(inNetwork(n, 'people'));

export interface NewInvitation {
	email: string;
	name: string;
	role: RoleName;
	club_id: string | null;
}
export const listInvitations = (n: string) => all<Invitation>(inNetwork(n, 'invitations'));
export const createInvitation = (n: string, body: NewInvitation, key: string) =>
	post<Invitation>(inNetwork(n, 'invitations'), { body, key });
export const withdrawInvitation = (n: string, id: string) => remove<void>(inNetwork(n, 'invitations', id));
export const endMembership = (n: string, id: string) => remove<void>(inNetwork(n, 'memberships', id));

export const listMails = (n: string) => all<Mail>(inNetwork(n, 'mails'));

export type SupplierFacts = Omit<Supplier, 'supplier_id' | 'version'>;
export const listSuppliers = (n: string) => all<Supplier>(inNetwork(n, 'suppliers'));
export const getSupplier = (n: string, id: string) => get<Supplier>(inNetwork(n, 'suppliers', id));
export const createSupplier = (n: string, body: SupplierFacts, key: string) =>
	post<Supplier>(inNetwork(n, 'suppliers'), { body, key });
export const changeSupplier = (n: string, id: string, body: SupplierFacts, version: number) =>
	put<Supplier>(inNetwork(n, 'suppliers', id), { body, version });

export interface NewProduct {
	name: string;
	kind: Product['kind'];
	sold_by: SoldBy;
	bag_kg?: number;
	vat_basis_points: number;
	note: string;
}
export const listProducts = (n: string) => all<Product>(inNetwork(n, 'products'));
export const getProduct = (n: string, id: string) => get<Product>(inNetwork(n, 'products', id));
export const createProduct = (n: string, body: NewProduct, key: string) =>
	post<Product>(inNetwork(n, 'products'), { body, key });

export const changeProduct = (n: string, id: string, body: NewProduct, version: number) =>
	put<Product>(inNetwork(n, 'products', id), { body, version });

export const importPlaces = (n: string, csv: string, dry_run: boolean, key: string) =>
	post<ImportReport>(inNetwork(n, 'imports'), { body: { csv, dry_run }, key });
