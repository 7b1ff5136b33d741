/** Reads an OpenAPI 3 document into what the API page shows. Pure. */

export interface Schema {
	$ref?: string;
	type?: string | string[];
	format?: string;
	description?: string;
	enum?: unknown[];
	items?: Schema;
	properties?: Record<string, Schema>;
	required?: string[];
	oneOf?: Schema[];
	anyOf?: Schema[];
	allOf?: Schema[];
	nullable?: boolean;
	minimum?: number;
	maximum?: number;
	minLength?: number;
	maxLength?: number;
}
interface Content {
	content?: Record<string, { schema?: Schema }>;
	description?: string;
}
interface Parameter {
	name: string;
	in: string;
	required?: boolean;
	description?: string;
	schema?: Schema;
}
interface Operation {
	operationId?: string;
	summary?: string;
	description?: string;
	tags?: string[];
	parameters?: Parameter[];
	requestBody?: Content;
	responses?: Record<string, Content>;
}
export interface ApiDocument {
	info?: { title?: string; version?: string; description?: string };
	tags?: { name: string; description?: string }[];
	paths?: Record<string, Record<string, Operation>>;
	components?: { schemas?: Record<string, Schema> };
}

/** A type in words, with the named shape it leads to. */
export interface TypeWords {
	words: string;
	shape?: string;
}
export interface FieldRow extends TypeWords {
	name: string;
	needed: boolean;
	about: string;
}
export interface OperationView {
	id: string;
	method: string;
	path: string;
	summary: string;
	about: string;
	parameters: (FieldRow & { where: string })[];
	request?: TypeWords;
	answers: { status: string; about: string; type?: TypeWords; codes: string[] }[];
}
export interface TagView {
	name: string;
	about: string;
	operations: OperationView[];
}

const METHODS = ['get', 'post', 'put', 'patch', 'delete'];

function refName(ref: string): string {
	return ref.slice(ref.lastIndexOf('/') + 1);
}

export function typeWords(schema: Schema | undefined): TypeWords {
	if (!schema) return { words: 'anything' };
	if (schema.$ref) return { words: refName(schema.$ref), shape: refName(schema.$ref) };
	const parts = schema.oneOf ?? schema.anyOf ?? schema.allOf;
	if (parts) {
		const words = parts.map(typeWords);
		const shape = words.find((part) => part.shape)?.shape;
		return {
			words: words.map((part) => part.words).join(schema.allOf ? ' and ' : ' or '),
			...(shape ? { shape } : {})
		};
	}
	if (schema.enum) return { words: `one of ${schema.enum.map(String).join(', ')}` };
	const types = Array.isArray(schema.type) ? schema.type : [schema.type ?? 'object'];
	const named = types.map((type) => {
		if (type === 'array') return '';
		if (type === 'null') return 'null';
		return schema.format ? `${type} (${schema.format})` : type;
	});
	if (types.includes('array')) {
		const of = typeWords(schema.items);
		const orNull = types.includes('null') ? ' or null' : '';
		return { words: `list of ${of.words}${orNull}`, ...(of.shape ? { shape: of.shape } : {}) };
	}
	return { words: named.join(' or ') + (schema.nullable ? ' or null' : '') };
}

function limits(schema: Schema): string {
	const words = [];
	if (schema.minimum !== undefined) words.push(`at least ${schema.minimum}`);
	if (schema.maximum !== undefined) words.push(`at most ${schema.maximum}`);
	if (schema.minLength !== undefined) words.push(`${schema.minLength} characters or more`);
	if (schema.maxLength !== undefined) words.push(`${schema.maxLength} characters or fewer`);
	return words.join(', ');
}

/** The fields of a shape, those of the shapes it is made of included. */
export function fieldsOf(schema: Schema, shapes: Record<string, Schema> = {}): FieldRow[] {
	const base = schema.$ref ? shapes[refName(schema.$ref)] : undefined;
	if (base) return fieldsOf(base, shapes);
	const own = Object.entries(schema.properties ?? {}).map(([name, field]) => ({
		name,
		...typeWords(field),
		needed: schema.required?.includes(name) ?? false,
		about: [field.description, limits(field)].filter(Boolean).join('; ')
	}));
	return [...(schema.allOf ?? []).flatMap((part) => fieldsOf(part, shapes)), ...own];
}

function contentType(content: Content | undefined): TypeWords | undefined {
	const schema = Object.values(content?.content ?? {})[0]?.schema;
	return schema ? typeWords(schema) : undefined;
}

/** Codes are written in a description between backticks. */
function codesIn(description: string): string[] {
	return [...description.matchAll(/`([a-z][a-z0-9_]+)`/g)].map((match) => match[1] ?? '');
}

function viewOf(method: string, path: string, operation: Operation): OperationView {
	const request = contentType(operation.requestBody);
	return {
		id: operation.operationId ?? `${method} ${path}`,
		method: method.toUpperCase(),
		path,
		summary: operation.summary ?? operation.operationId?.replaceAll('_', ' ') ?? path,
		about: operation.description ?? '',
		parameters: (operation.parameters ?? []).map((parameter) => ({
			name: parameter.name,
			where: parameter.in,
			...typeWords(parameter.schema),
			needed: parameter.required ?? false,
			about: parameter.description ?? ''
		})),
		...(request ? { request } : {}),
		answers: Object.entries(operation.responses ?? {}).map(([status, answer]) => {
			const type = contentType(answer);
			const about = answer.description ?? '';
			return { status, about, ...(type ? { type } : {}), codes: status >= '400' ? codesIn(about) : [] };
		})
	};
}

export function tagsOf(document: ApiDocument): TagView[] {
	const tags = new Map<string, TagView>(
		(document.tags ?? []).map(({ name, description }) => [
			name,
			{ name, about: description ?? '', operations: [] }
		])
	);
	for (const [path, methods] of Object.entries(document.paths ?? {})) {
		for (const method of METHODS) {
			const operation = methods[method];
			if (!operation) continue;
			const name = operation.tags?.[0] ?? 'other';
			const tag = tags.get(name) ?? { name, about: '', operations: [] };
			tag.operations.push(viewOf(method, path, operation));
			tags.set(name, tag);
		}
	}
	return [...tags.values()].filter((tag) => tag.operations.length > 0);
}
