// What the guided way asks, and how its answers become what the server is told.
import type { Recruit, RecruitChoices, StarterPaint } from '../../lib/model.ts';

export interface Answers {
  name: string;
  body: string;
  headgear: string;
  cut: string;
  size_mm: number;
  figures: { role: string; count: number }[];
  base: { width_mm: number; depth_mm: number };
  ranks: number;
  horses: string;
  /** Chosen by hand; what is missing takes the usual. */
  colours: Record<string, string>;
  flag: boolean;
  flagColours: string[];
  evenings: number;
  ready_by: string;
}

/** The usual answers for a body. */
export function usual(choices: RecruitChoices, body = choices.bodies[0]?.value ?? 'foot'): Answers {
  return {
    name: '',
    body,
    headgear: choices.headgears[0] ?? '',
    cut: choices.cuts[0] ?? '',
    size_mm: 28,
    figures: (choices.figures[body] ?? []).map((role) => ({ ...role })),
    base: { ...(choices.bases[body]?.[0] ?? { width_mm: 20, depth_mm: 20 }) },
    ranks: body === 'gun' ? 1 : 2,
    horses: choices.horses[0]?.value ?? '',
    colours: {},
    flag: false,
    flagColours: ['white'],
    evenings: 3,
    ready_by: '',
  };
}

/** The answers with another body: numbers and bases become its usual ones, the
    rest stays. */
export function withBody(answers: Answers, choices: RecruitChoices, body: string): Answers {
  const { figures, base, ranks } = usual(choices, body);
  return { ...answers, body, figures, base, ranks };
}

/** What colour is asked for on a body, in order. */
export function areasFor(choices: RecruitChoices, body: string): RecruitChoices['areas'] {
  return choices.areas.filter((area) => area.bodies.includes(body));
}

/** The colour of an area in words: chosen, usual, or another area's ("=facing"). */
export function colourOf(answers: Answers, choices: RecruitChoices, key: string, depth = 0): string {
  const chosen = answers.colours[key];
  if (chosen) return chosen;
  const area = choices.areas.find((a) => a.key === key);
  if (!area || depth > 4) return '';
  return area.default.startsWith('=') ? colourOf(answers, choices, area.default.slice(1), depth + 1) : area.default;
}

export interface NamedColour {
  name: string;
  hex: string;
}

/** The colours to choose from: for metals those of the starter rack, else the
    plain names and then the starter rack's. */
export function coloursFor(choices: RecruitChoices, starter: StarterPaint[], metal: boolean): NamedColour[] {
  const rack = starter
    .filter((p) => (metal ? p.kind === 'metallic' : p.kind === 'opaque' || p.kind === 'translucent'))
    .map((p) => ({ name: p.name, hex: p.over_white.hex }));
  const plain = metal ? [] : choices.colours;
  const names = new Set(plain.map((c) => c.name));
  return [...plain, ...rack.filter((c) => !names.has(c.name))];
}

/** What a colour named in words looks like; "#rrggbb" stands for itself. */
export function hexOf(words: string, colours: NamedColour[]): string {
  if (/^#[0-9a-f]{6}$/i.test(words)) return words;
  return colours.find((c) => c.name.toLowerCase() === words.toLowerCase())?.hex ?? '#8a8680';
}

export const total = (answers: Answers): number => answers.figures.reduce((n, role) => n + role.count, 0);

/** What the server is told: only what differs from the usual need be there. */
export function toRecruit(answers: Answers, zone: string, today: string): Recruit {
  const name = answers.name.trim();
  return {
    body: answers.body,
    ...(name ? { name } : {}),
    ...(answers.body === 'gun' && answers.headgear === '' ? {} : { headgear: answers.headgear, cut: answers.cut }),
    size_mm: answers.size_mm,
    figures: answers.figures.filter((role) => role.count > 0),
    ranks: Math.max(1, Math.min(answers.ranks, total(answers))),
    base: answers.base,
    colours: Object.fromEntries(Object.entries(answers.colours).filter(([, words]) => words)),
    ...(answers.body === 'mounted' ? { horses: answers.horses } : {}),
    ...(answers.flag && answers.figures.some((r) => r.role === 'standard-bearer' && r.count > 0)
      ? { flag: { colours: answers.flagColours } }
      : {}),
    evenings_per_week: answers.evenings,
    start: today,
    ...(answers.ready_by ? { ready_by: answers.ready_by } : {}),
    zone,
  };
}
