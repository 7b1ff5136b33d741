import { get } from '$lib/api/client';
import type { ApiDocument } from '$lib/apidoc/document';
import type { PageLoad } from './$types';

export const load: PageLoad = async () => ({ document: await get<ApiDocument>('/openapi.json') });
