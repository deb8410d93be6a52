// The server's news of one project, with reconnecting.

export interface News {
  head: { revision: number };
  log: { seq: number };
  plan: { state: string; stage?: string; share?: number; revision?: number; seq?: number };
}

type Listener = <K extends keyof News>(kind: K, news: News[K]) => void;

const longestWait = 30_000; // ms between tries

/** Listens until called back. After every reconnection `again` is called,
    because news may have been missed. */
export function listen(url: string, heard: Listener, connected: (yes: boolean, again: boolean) => void): () => void {
  let source: EventSource | undefined;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let wait = 1000;
  let before = false;

  const open = (): void => {
    source = new EventSource(url);
    source.onopen = () => {
      wait = 1000;
      connected(true, before);
      before = true;
    };
    source.onerror = () => {
      connected(false, false);
      if (source?.readyState !== EventSource.CLOSED) return; // the browser tries again itself
      timer = setTimeout(open, wait);
      wait = Math.min(wait * 2, longestWait);
    };
    for (const kind of ['head', 'log', 'plan'] as const) {
      source.addEventListener(kind, (event) => {
        try {
          heard(kind, JSON.parse((event as MessageEvent<string>).data) as never);
        } catch {
          // Not for us: a later version may say more.
        }
      });
    }
  };
  open();
  return () => {
    clearTimeout(timer);
    source?.close();
  };
}
