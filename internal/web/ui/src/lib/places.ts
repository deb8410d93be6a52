// Places of the project file: a finding's path is a JSON Pointer by names
// ("/units/Lancers/scheme/jacket"); a patch's is by indexes. Elements on a page
// carry the path by names as data-at.
import { href, type PageName } from './router.svelte.ts';
import { pointer, pointerParts } from './patch.ts';

/** The page on which a place of the project is edited. */
export function pageOf(path: string): PageName {
  const [first, , third] = pointerParts(path);
  switch (first) {
    case undefined:
    case 'facings':
    case 'name':
    case 'note':
      return 'file';
    case 'rack':
    case 'mixes':
      return 'rack';
    case 'finishes':
    case 'undercoat':
    case 'ending':
      return 'scheme';
    case 'traits':
      return 'ranks';
    case 'calendar':
    case 'rules':
    case 'drying':
    case 'set_up':
    case 'air':
    case 'pace':
      return 'order';
    case 'units':
      if (third === 'scheme') return 'scheme';
      if (third === 'traits' || third === 'shares' || third === 'single') return 'ranks';
      if (third === 'flag') return 'sheets';
      return 'muster';
  }
  return 'muster';
}

/** The address of a place: its page, and the place itself behind the #. */
export function addressOf(project: string, path: string): string {
  return `${href(project, pageOf(path))}#${encodeURIComponent(path)}`;
}

/** Brings a place into view and gives it the focus: the element whose data-at is
    the path, or the nearest thing around it, provided that is nearer than the
    place `before`. Answers the place it went to, or `before`. */
export function jumpTo(path: string, before = '', within: ParentNode = document): string {
  if (!path.startsWith('/')) return before;
  let best: HTMLElement | null = null;
  for (const element of within.querySelectorAll<HTMLElement>('[data-at]')) {
    const at = element.dataset.at ?? '';
    const fits = path === at || path.startsWith(`${at}/`);
    if (fits && at.length > (best?.dataset.at ?? before).length) best = element;
  }
  if (!best) return before;
  const target = best.matches('a,button,input,select,textarea,[tabindex]')
    ? best
    : (best.querySelector<HTMLElement>('input,select,textarea') ?? best.querySelector<HTMLElement>('button,a,[tabindex]'));
  best.scrollIntoView({ block: 'center' });
  (target ?? best).focus({ preventScroll: true });
  return best.dataset.at!;
}

/** Goes to a place as soon as the page shows it, and to what lies around it until
    then, unless somebody acts before; a page may be slow to fill. Ends after ten
    seconds, or when called back. */
export function follow(path: string): () => void {
  const acts = ['pointerdown', 'keydown', 'wheel'] as const;
  const until = performance.now() + 10_000;
  let at = '';
  const timer = setInterval(() => {
    at = jumpTo(path, at);
    if (at === path || performance.now() > until) end();
  }, 120);
  const end = (): void => {
    clearInterval(timer);
    for (const act of acts) removeEventListener(act, end);
  };
  for (const act of acts) addEventListener(act, end);
  return end;
}

const nameKeys = ['name', 'role', 'area', 'paint', 'step', 'date'];

/** A pointer by indexes as a pointer by names, for showing a person. */
export function byNames(path: string, within: unknown): string {
  let here: unknown = within;
  const parts = pointerParts(path).map((part) => {
    const parent = here;
    here = parent !== null && typeof parent === 'object' ? (parent as Record<string, unknown>)[part] : undefined;
    if (!Array.isArray(parent) || here === null || typeof here !== 'object') return part;
    const item = here as Record<string, unknown>;
    const key = nameKeys.find((k) => typeof item[k] === 'string');
    if (!key) return part;
    return key === 'role' && typeof item.number === 'number' ? `${item.role} ${item.number}` : String(item[key]);
  });
  return pointer(...parts);
}

/** A place in words: "units › Hussars › figures › trooper › count". */
export function placeInWords(path: string, within: unknown): string {
  return pointerParts(byNames(path, within))
    .map((part) => part.replace(/_/g, ' '))
    .join(' › ');
}
