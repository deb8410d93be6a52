// The address line: /, /new, and /p/{id}/{page}/{rest…}. Nothing else is routed.

export const pages = ['muster', 'scheme', 'rack', 'ranks', 'order', 'bench', 'sheets'] as const;
/** Pages about the project as a whole, reached by its name rather than the rail. */
export const asides = ['file', 'history'] as const;
export type PageName = (typeof pages)[number] | (typeof asides)[number];

export interface Route {
  project: string; // '' on pages outside a project
  page: PageName | 'projects' | 'new' | 'unknown';
  rest: string[]; // what follows the page's name, decoded
  query: URLSearchParams;
  hash: string; // without the #, decoded
}

/** Reads an address below this origin. */
export function readRoute(path: string, search = '', hash = ''): Route {
  const query = new URLSearchParams(search);
  const parts = path.split('/').filter(Boolean).map(decode);
  const base = { rest: [] as string[], query, hash: decode(hash.replace(/^#/, '')) };
  if (parts.length === 0) return { ...base, project: '', page: 'projects' };
  if (parts[0] === 'new' && parts.length === 1) return { ...base, project: '', page: 'new' };
  if (parts[0] !== 'p' || !parts[1]) return { ...base, project: '', page: 'unknown' };
  const page = parts[2] ?? 'muster';
  const known = [...pages, ...asides].some((name) => name === page);
  return { ...base, project: parts[1], page: known ? (page as PageName) : 'unknown', rest: parts.slice(3) };
}

function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

/** The address of a page of a project. */
export function href(project: string, page: PageName, rest: string[] = [], query: Record<string, string> = {}): string {
  const path = ['/p', project, page, ...rest].map((p, i) => (i === 0 ? p : encodeURIComponent(p))).join('/');
  const tail = new URLSearchParams(query).toString();
  return tail ? `${path}?${tail}` : path;
}

class Router {
  route = $state.raw<Route>(here());
  /** Counts moves to another page, for moving the focus to its heading. */
  moves = $state(0);

  /** Goes to an address; replace leaves no step in the history. */
  go(to: string, replace = false): void {
    if (replace) history.replaceState(null, '', to);
    else history.pushState(null, '', to);
    this.#arrive();
    if (!replace && !location.hash) window.scrollTo(0, 0);
  }

  /** Follows the address line and clicks on links of our own, until called back. */
  start(): () => void {
    const pop = (): void => this.#arrive();
    const click = (event: MouseEvent): void => {
      const to = ownLink(event);
      if (to === null) return;
      event.preventDefault();
      this.go(to);
    };
    addEventListener('popstate', pop);
    document.addEventListener('click', click);
    return () => {
      removeEventListener('popstate', pop);
      document.removeEventListener('click', click);
    };
  }

  #arrive(): void {
    const before = this.route;
    this.route = here();
    if (before.page !== this.route.page || before.project !== this.route.project) this.moves++;
  }
}

function here(): Route {
  if (typeof location === 'undefined') return readRoute('/');
  return readRoute(location.pathname, location.search, location.hash);
}

// ownLink gives the address that a click asks for, null when it is not ours to follow.
function ownLink(event: MouseEvent): string | null {
  if (event.defaultPrevented || event.button !== 0) return null;
  if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return null;
  const link = (event.target as Element | null)?.closest?.('a[href]') as HTMLAnchorElement | null;
  if (!link || link.target || link.hasAttribute('download')) return null;
  const url = new URL(link.href);
  if (url.origin !== location.origin || url.pathname.startsWith('/api/')) return null;
  return url.pathname + url.search + url.hash;
}

export const router = new Router();
export const go = (to: string, replace = false): void => router.go(to, replace);
