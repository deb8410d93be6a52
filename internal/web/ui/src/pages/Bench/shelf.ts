// A small shelf in the browser's own database: what must outlive a closed page
// or a lost connection. Where the browser has none, it lasts as long as the page.
import type { Bench, Entry } from '../../lib/model.ts';

/** An entry of the log on its way, one record each, so that two pages of one
    device never write over each other's. Records are numbered as they come. */
interface Tick {
  project: string;
  entry: Entry;
}

let opening: Promise<IDBDatabase | null> | undefined;

function open(): Promise<IDBDatabase | null> {
  opening ??= new Promise((done) => {
    try {
      const request = indexedDB.open('facings-bench', 2);
      request.onupgradeneeded = () => upgrade(request.result, request.transaction!);
      request.onsuccess = () => {
        // A newer page may want to change the database: it is opened anew when needed.
        request.result.onversionchange = () => {
          request.result.close();
          opening = undefined;
        };
        done(request.result);
      };
      request.onerror = request.onblocked = () => done(null);
    } catch {
      done(null);
    }
  });
  return opening;
}

function upgrade(db: IDBDatabase, within: IDBTransaction): void {
  if (!db.objectStoreNames.contains('benches')) db.createObjectStore('benches');
  const ticks = db.createObjectStore('ticks', { autoIncrement: true });
  ticks.createIndex('project', 'project');
  if (!db.objectStoreNames.contains('entries')) return;
  // The first version kept a project's entries as one list.
  const lists = within.objectStore('entries').openCursor();
  lists.onsuccess = () => {
    const at = lists.result;
    if (!at) return db.deleteObjectStore('entries');
    for (const entry of at.value as Entry[]) ticks.add({ project: String(at.key), entry } satisfies Tick);
    at.continue();
  };
}

const memory = { ticks: [] as Tick[], benches: new Map<string, Bench>() };

// write resolves once the work is on the disk, false where it could not be.
async function write(store: 'ticks' | 'benches', work: (store: IDBObjectStore) => void): Promise<boolean> {
  const db = await open();
  if (!db) return false;
  return new Promise((done) => {
    try {
      const writing = db.transaction(store, 'readwrite', { durability: 'strict' });
      work(writing.objectStore(store));
      writing.oncomplete = () => done(true);
      writing.onerror = writing.onabort = () => done(false);
    } catch {
      done(false);
    }
  });
}

// read resolves to what a request answers, undefined where it fails.
async function read<T>(store: 'ticks' | 'benches', ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T | undefined> {
  const db = await open();
  if (!db) return undefined;
  return new Promise((done) => {
    try {
      const request = ask(db.transaction(store).objectStore(store));
      request.onsuccess = () => done(request.result);
      request.onerror = () => done(undefined);
    } catch {
      done(undefined);
    }
  });
}

/** Puts an entry on the shelf, after those there; resolves once it is on the
    disk, or is remembered by the page where there is none. */
export async function keep(project: string, entry: Entry): Promise<void> {
  const tick: Tick = { project, entry };
  if (!(await write('ticks', (ticks) => ticks.add(tick)))) memory.ticks.push(tick);
}

/** What is on the shelf of a project, in the order it came. */
export async function kept(project: string): Promise<Entry[]> {
  const ticks = (await read('ticks', (store) => store.index('project').getAll(project) as IDBRequest<Tick[]>)) ?? [];
  return [...ticks, ...memory.ticks.filter((x) => x.project === project)].map((x) => x.entry);
}

/** Takes the entries with these identifiers off the shelf. */
export async function drop(project: string, ids: Set<string>): Promise<void> {
  memory.ticks = memory.ticks.filter((x) => x.project !== project || !ids.has(x.entry.id));
  await write('ticks', (store) => {
    const ticks = store.index('project').openCursor(project);
    ticks.onsuccess = () => {
      const at = ticks.result;
      if (!at) return;
      if (ids.has((at.value as Tick).entry.id)) at.delete();
      at.continue();
    };
  });
}

/** Remembers the bench as it was told last. */
export async function remember(project: string, bench: Bench): Promise<void> {
  memory.benches.set(project, bench);
  await write('benches', (store) => store.put(bench, project));
}

/** Changes the bench that is remembered, if there is one, by what was acknowledged
    since; in one go, so that two pages of one device keep each other's. */
export async function amend(project: string, by: (bench: Bench) => Bench): Promise<void> {
  const before = memory.benches.get(project);
  if (before) memory.benches.set(project, by(before));
  await write('benches', (store) => {
    const asked = store.get(project) as IDBRequest<Bench | undefined>;
    asked.onsuccess = () => {
      if (asked.result) store.put(by(asked.result), project);
    };
  });
}

/** The bench as it was told last, on this visit or an earlier one. */
export async function recall(project: string): Promise<Bench | undefined> {
  return memory.benches.get(project) ?? (await read('benches', (store) => store.get(project) as IDBRequest<Bench | undefined>));
}
