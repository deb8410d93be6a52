// What the campaign panel works out: how dates hold, the time line, and the
// plot of what could be left out.
import type { Project, Schemas } from '../../../lib/model.ts';

export type Answer = Schemas['Campaign'];
export type GameDay = Schemas['CampaignDate'];
export type Drop = Schemas['Drop'];
export type Game = Schemas['Game'];

export type Holds = 'holds' | 'part' | 'fails';

/** How a date holds: units at risk count as not quite. */
export function holds(d: GameDay): Holds {
  if (d.late.length === 0 && d.at_risk.length === 0) return 'holds';
  return d.worth > 0 ? 'part' : 'fails';
}

/** Whether anything has a date, as the campaign needs. */
export function dated(p: Project | null): boolean {
  return !!p && ((p.calendar?.games?.length ?? 0) > 0 || !!p.calendar?.ready_by || p.units.some((u) => !!u.ready_by));
}

const day = (iso: string): number => Date.parse(`${iso}T12:00:00Z`) / 86_400_000;

export interface Line {
  units: string[];
  from: number; // where it begins and ends, in per cent
  to: number;
  ready: string;
}

/** Units one after another, and dates, on a line from the first day to the last.
    A unit begins where the one before is ready, or where its own minutes begin. */
export function timeLine(answer: Answer, start: string): { lines: Line[]; dates: { name: string; date: string; at: number }[] } {
  const ready = answer.sequence.map((s) => s.planned || s.ready);
  const known = [...ready, ...answer.dates.map((d) => d.date), start].map(day).filter((d) => !Number.isNaN(d));
  if (known.length === 0) return { lines: [], dates: [] };
  const first = Math.min(...known);
  const span = Math.max(1, Math.max(...known) - first);
  const at = (iso: string): number => ((day(iso) - first) / span) * 100;
  let before = Number.isNaN(day(start)) ? 0 : at(start);
  const lines = answer.sequence.map((s, i) => {
    const to = at(ready[i]!);
    const from = Math.min(before, to);
    before = Math.max(before, at(s.ready));
    return { units: s.units, from, to, ready: ready[i]! };
  });
  return { lines, dates: answer.dates.map((d) => ({ name: d.name, date: d.date, at: at(d.date) })) };
}

export interface Point {
  x: number;
  y: number;
  drop: Drop;
}

/** Choices as points in a frame of so many pixels, with what is needed. */
export function frontier(drops: readonly Drop[], short: number, width: number, height: number): { points: Point[]; needed: number; xMost: number; yMost: number } {
  // What is needed is drawn at the edge where no choice comes near it.
  const saved = Math.max(...drops.map((d) => d.minutes), 1);
  const xMost = Math.min(Math.max(short, saved) * 1.05, saved * 1.6);
  const yMost = Math.max(...drops.map((d) => d.loss_delta_e00), 0.1) * 1.1;
  const x = (m: number): number => (m / xMost) * width;
  const points = drops.map((drop) => ({ x: x(drop.minutes), y: height - (drop.loss_delta_e00 / yMost) * height, drop }));
  return { points, needed: Math.min(width, x(short)), xMost, yMost };
}

/** Cuts ("eyes on the Foot", "lace on the Foot") put together by whom they are about. */
export function byWhom(cuts: readonly string[]): { what: string[]; whom: string }[] {
  const groups: { what: string[]; whom: string }[] = [];
  for (const cut of cuts) {
    const at = cut.indexOf(' on the ');
    const what = at < 0 ? cut : cut.slice(0, at);
    const whom = at < 0 ? '' : cut.slice(at + ' on the '.length);
    const group = groups.find((g) => g.whom === whom);
    if (group) group.what.push(what);
    else groups.push({ what: [what], whom });
  }
  return groups;
}

/** The steps between choices: to save a minute more, the next must be taken. */
export function steps(points: readonly Point[], height: number): string {
  let d = `M0 ${height}`;
  for (const p of points) d += ` V${round(p.y)} H${round(p.x)}`;
  return d;
}

const round = (x: number): number => Math.round(x * 10) / 10;

/** A name for a new game that no other has. */
export function freeName(games: readonly Game[], name: (n: number) => string): string {
  let n = games.length + 1;
  while (games.some((g) => g.name === name(n))) n++;
  return name(n);
}
