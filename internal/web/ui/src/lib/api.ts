import type * as M from './model.ts';
import type { Patch } from './patch.ts';

/** What the server said no to, in its own words (RFC 9457). */
export class Problem extends Error {
  override name = 'Problem';
  constructor(
    readonly status: number, // 0 when the server was not reached
    readonly title: string,
    readonly detail: string,
    readonly findings: M.Finding[] = [],
    readonly current?: M.Head, // with 412: what is in force
  ) {
    super(detail || title);
  }
  /** The server could not be reached at all. */
  get offline(): boolean {
    return this.status === 0;
  }
}

type Query = Record<string, string | number | boolean | undefined>;

interface Ask {
  method?: string;
  query?: Query;
  json?: unknown;
  body?: BodyInit;
  type?: string; // content type
  base?: number; // the revision an edit was made from: If-Match
  signal?: AbortSignal | undefined;
}

/** The address of a resource, each value escaped. */
export function address(path: string, query: Query = {}): string {
  const search = new URLSearchParams();
  for (const [key, value] of Object.entries(query)) {
    if (value !== undefined) search.set(key, String(value));
  }
  const tail = search.toString();
  return tail ? `${path}?${tail}` : path;
}

/** Asks the server; throws a Problem. Pages use the functions of `api` below. */
export async function ask<T>(path: string, want: Ask = {}): Promise<T> {
  const headers: Record<string, string> = { accept: 'application/json' };
  let body = want.body;
  if (want.json !== undefined) {
    body = JSON.stringify(want.json);
    headers['content-type'] = 'application/json';
  }
  if (want.type) headers['content-type'] = want.type;
  if (want.base !== undefined) headers['if-match'] = `"r${want.base}"`;
  let response: Response;
  try {
    response = await fetch(address(path, want.query), {
      method: want.method ?? 'GET',
      headers,
      credentials: 'same-origin',
      ...(body !== undefined ? { body } : {}),
      ...(want.signal ? { signal: want.signal } : {}),
    });
  } catch (cause) {
    if (want.signal?.aborted) throw cause;
    throw new Problem(0, 'not reached', '');
  }
  if (!response.ok) throw await problem(response);
  if (response.status === 204) return undefined as T;
  const kind = response.headers.get('content-type') ?? '';
  return (kind.includes('json') ? await response.json() : await response.text()) as T;
}

async function problem(response: Response): Promise<Problem> {
  try {
    const said = (await response.json()) as {
      title?: string;
      detail?: string;
      hint?: string;
      findings?: M.Finding[];
      current?: M.Head;
      errors?: { message?: string; location?: string }[];
    };
    const more = (said.errors ?? []).map((e) => [e.location, e.message].filter(Boolean).join(': '));
    const detail = [said.detail, ...more, said.hint].filter(Boolean).join('; ');
    return new Problem(response.status, said.title ?? response.statusText, detail, said.findings ?? [], said.current);
  } catch {
    return new Problem(response.status, response.statusText || String(response.status), '');
  }
}

const at = (id: string, rest = ''): string => `/api/projects/${encodeURIComponent(id)}${rest}`;

interface Edit {
  base: number;
  why?: string;
}

const change = (method: string, { base, why }: Edit, json?: unknown): Ask => ({
  method,
  base,
  query: { why },
  ...(json !== undefined ? { json } : {}),
});

/** The server's resources, one function each; docs/openapi.json says the rest. */
export const api = {
  about: () => ask<M.About>('/api/about'),
  starterRack: async () => (await ask<M.Schemas['StarterBody']>('/api/rack/starter')).paints,
  bodies: () => ask<M.Bodies>('/api/bodies'),
  recruitChoices: () => ask<M.RecruitChoices>('/api/recruit/choices'),
  mix: (want: M.MixAsk) => ask<M.MixResult>('/api/mix', { method: 'POST', json: want }),
  match: (want: M.MixAsk) => ask<M.MatchResult>('/api/match', { method: 'POST', json: want }),
  air: (want: M.AirAsk) => ask<M.AirReport>('/api/air', { method: 'POST', json: want }),

  // Projects, and what was done to them.
  projects: async (gone = false) =>
    (await ask<M.Schemas['ProjectsBody']>('/api/projects', { query: { gone: gone || undefined } })).projects,
  create: (want: M.NewProject) => ask<M.Head>('/api/projects', { method: 'POST', json: want }),
  /** Takes in a project file or the archive of one. */
  bringIn: (file: File) =>
    ask<M.Head>('/api/import', {
      method: 'POST',
      body: file,
      type: file.name.endsWith('.zip') ? 'application/zip' : 'application/yaml',
    }),
  throwAway: (id: string) => ask<void>(at(id), { method: 'DELETE' }),
  takeBack: (id: string) => ask<void>(at(id, '/return'), { method: 'POST' }),
  head: (id: string) => ask<M.Head>(at(id)),
  patch: (id: string, edit: Edit, patch: Patch) =>
    ask<M.Head>(at(id), { ...change('PATCH', edit), body: JSON.stringify(patch), type: 'application/json-patch+json' }),
  rename: (id: string, edit: Edit, pointer: string, name: string) =>
    ask<M.Head>(at(id, '/rename'), change('POST', edit, { pointer, name })),
  /** Adds a unit by the guided way. */
  recruitInto: (id: string, edit: Edit, recruit: M.Recruit) =>
    ask<M.Head>(at(id, '/recruit'), change('POST', edit, recruit)),
  text: (id: string) => ask<string>(at(id, '/text')),
  putText: (id: string, edit: Edit, text: string) =>
    ask<M.Head>(at(id, '/text'), { ...change('PUT', edit), body: text, type: 'text/plain' }),
  undo: (id: string, edit: Edit) => ask<M.Head>(at(id, '/undo'), change('POST', edit)),
  redo: (id: string, edit: Edit) => ask<M.Head>(at(id, '/redo'), change('POST', edit)),
  restore: (id: string, edit: Edit, revision: number) =>
    ask<M.Head>(at(id, '/restore'), change('POST', edit, { revision })),
  history: async (id: string, before?: number, n = 50) =>
    (await ask<M.Schemas['HistoryBody']>(at(id, '/history'), { query: { before, n } })).revisions,
  compare: (id: string, a: number, b: number) => ask<M.Comparison>(at(id, '/compare'), { query: { a, b } }),

  // The plan and the bench.
  plan: (id: string) => ask<M.Plan>(at(id, '/plan')),
  planAgain: (id: string) => ask<M.Plan>(at(id, '/plan'), { method: 'POST' }),
  whatif: (id: string, question: M.WhatIf, signal?: AbortSignal) =>
    ask<M.WhatIfAnswer>(at(id, '/whatif'), { method: 'POST', json: question, signal }),
  bench: (id: string) => ask<M.Bench>(at(id, '/bench')),
  log: (id: string, after?: number) => ask<M.LogAnswer>(at(id, '/log'), { query: { after } }),
  addToLog: (id: string, entries: M.Entry[]) =>
    ask<M.LogAnswer>(at(id, '/log'), { method: 'POST', json: { entries } }),
  shop: (id: string) => ask<M.Shopping>(at(id, '/shop')),
  pace: (id: string) => ask<M.Schemas['PaceReport']>(at(id, '/pace')),
  record: (id: string) => ask<M.Schemas['Record']>(at(id, '/record')),
  /** What more figures of a unit would need that the rack has not. */
  lookForMore: (id: string, unit: string, figures: number) =>
    ask<M.Schemas['More']>(at(id, '/more'), { method: 'POST', json: { unit, figures } }),
  /** The plan as it would be in a forecast, CSV in °C. */
  weather: (id: string, forecast: string, signal?: AbortSignal) =>
    ask<M.Schemas['WeatherAnswer']>(at(id, '/weather'), { method: 'POST', json: { forecast }, signal }),
  campaign: (id: string) => ask<M.Schemas['CampaignState']>(at(id, '/campaign')),
  startCampaign: (id: string) => ask<M.Schemas['CampaignState']>(at(id, '/campaign'), { method: 'POST', json: {} }),
  stopCampaign: (id: string) => ask<M.Schemas['CampaignState']>(at(id, '/campaign'), { method: 'DELETE' }),

  // Colours, files, meshes.
  colours: (id: string, figure: number, signal?: AbortSignal) =>
    ask<M.Colours>(at(id, '/colours'), { query: { figure }, signal }),
  tryOn: (id: string, figure: number, patch: Patch, signal?: AbortSignal) =>
    ask<M.Colours>(at(id, '/try'), {
      method: 'POST',
      query: { figure },
      body: JSON.stringify(patch),
      type: 'application/json-patch+json',
      signal,
    }),
  putFile: (id: string, edit: Edit, name: string, file: Blob) =>
    ask<M.FileKept>(at(id, '/files'), {
      ...change('POST', edit),
      query: { name, why: edit.why },
      body: file,
      type: 'application/octet-stream',
    }),
  removeFile: (id: string, edit: Edit, name: string) =>
    ask<M.Head>(at(id, `/files/${encodeURIComponent(name)}`), change('DELETE', edit)),
  survey: (id: string, mesh: string) => ask<M.Survey>(at(id, `/meshes/${encodeURIComponent(mesh)}/survey`)),
  labels: (id: string, mesh: string) => ask<M.MeshLabels>(at(id, `/meshes/${encodeURIComponent(mesh)}/labels`)),
  label: (id: string, edit: Edit, mesh: string, stroke: M.MeshLabel) =>
    ask<M.MeshLabels>(at(id, `/meshes/${encodeURIComponent(mesh)}/label`), change('POST', edit, stroke)),
  readSwatches: (id: string, photograph: Blob) =>
    ask<M.Reading>(at(id, '/swatches/read'), { method: 'POST', body: photograph, type: photograph.type }),
  readSpots: (id: string, photograph: Blob, spots: string, white?: string) =>
    ask<M.Schemas['SpotsBody']>(at(id, '/spots'), {
      method: 'POST',
      body: photograph,
      type: photograph.type,
      query: { at: spots, white },
    }),
  sheets: async (id: string) => (await ask<M.Schemas['SheetsBody']>(at(id, '/sheets'))).sheets,
  key: (id: string, figure: number) => ask<M.Schemas['KeyBody']>(at(id, '/pictures/key.json'), { query: { figure } }),

  // Devices, with --lan.
  pairing: () => ask<M.Schemas['Pairing']>('/api/pairing', { method: 'POST' }),
  devices: async () => (await ask<M.Schemas['DevicesBody']>('/api/devices')).devices,
  forgetDevice: (device: string) => ask<void>(`/api/devices/${encodeURIComponent(device)}`, { method: 'DELETE' }),

  /** Addresses for <img>, downloads and EventSource. */
  url: {
    events: (id: string) => at(id, '/events'),
    picture: (id: string, query: Query) => address(at(id, '/pictures/figure.png'), query),
    key: (id: string, query: Query) => address(at(id, '/pictures/key.png'), query),
    model: (id: string, figure: number) => at(id, `/figures/${figure}/model.glb`),
    meshModel: (id: string, mesh: string, query: Query = {}) =>
      address(at(id, `/meshes/${encodeURIComponent(mesh)}/model.glb`), query),
    sheet: (id: string, kind: string, query: Query = {}) =>
      address(at(id, `/sheets/${encodeURIComponent(kind)}`), query),
    archive: (id: string) => at(id, '/export.zip'),
    text: (id: string) => at(id, '/text'),
    file: (id: string, name: string) => at(id, `/files/${encodeURIComponent(name)}`),
  },
};
