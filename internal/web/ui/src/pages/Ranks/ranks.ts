// Who stands where, what he was dealt, and the edits that change it.
import type { Colours, Figure, FigureID, Project, Roster, Trait, Unit, UnitRoster } from '../../lib/model.ts';
import { inSingle, inUnit, prune, type Recipe } from '../Muster/units.ts';

export type View = 'behind' | 'front';

/** A figure as shown: pins of the project stand above what was dealt. */
export interface Man {
  index: number; // in the roster
  id: FigureID;
  name: string; // "trooper 4"
  rank: number;
  file: number;
  traits: Record<string, string>;
  /** Traits fixed for this one figure. */
  pinned: string[];
}

export const nameOf = (id: { role: string; number: number }): string => `${id.role} ${id.number}`;

/** The men of a unit, with pins that the plan does not know yet. */
export function menOf(roster: Roster, unit: Unit): Man[] {
  return roster.figures
    .filter((f) => f.id.unit === unit.name)
    .map((f: Figure) => {
      const pins = unit.single?.find((s) => s.role === f.id.role && s.number === f.id.number)?.traits ?? {};
      const shown = Object.fromEntries(Object.entries(pins).filter(([trait]) => trait in f.traits));
      return {
        index: f.index,
        id: f.id,
        name: nameOf(f.id),
        rank: f.rank,
        file: f.file,
        traits: { ...f.traits, ...shown },
        pinned: Object.keys(pins),
      };
    });
}

/** Rows as they lie on the screen. From behind the first rank is farthest, at
    the top, and file 1 at the left; from the front both are turned about. */
export function rows(men: Man[], view: View): { rank: number; cells: (Man | null)[] }[] {
  const ranks = Math.max(0, ...men.map((m) => m.rank));
  const files = Math.max(0, ...men.map((m) => m.file));
  const at = new Map(men.map((m) => [`${m.rank} ${m.file}`, m]));
  const out = Array.from({ length: ranks }, (_, r) => ({
    rank: r + 1,
    cells: Array.from({ length: files }, (_, f) => at.get(`${r + 1} ${f + 1}`) ?? null),
  }));
  if (view === 'behind') return out;
  return out.reverse().map((row) => ({ ...row, cells: row.cells.reverse() }));
}

/** Neighbours stand side by side, one behind the other, or corner to corner. */
export function neighbours(a: Man, b: Man): boolean {
  return Math.max(Math.abs(a.rank - b.rank), Math.abs(a.file - b.file)) === 1;
}

/** Pairs of neighbours alike in every trait; men on whom none shows do not count. */
export function alikePairs(men: Man[]): [Man, Man][] {
  const out: [Man, Man][] = [];
  for (const [i, a] of men.entries()) {
    for (const b of men.slice(i + 1)) {
      if (neighbours(a, b) && Object.keys(a.traits).length > 0 && sameTraits(a, b)) out.push([a, b]);
    }
  }
  return out;
}

export function sameTraits(a: Man, b: Man): boolean {
  const keys = new Set([...Object.keys(a.traits), ...Object.keys(b.traits)]);
  return [...keys].every((trait) => a.traits[trait] === b.traits[trait]);
}

/** The next man in a direction on the screen, over gaps; himself at the edge. */
export function step(rowsShown: { cells: (Man | null)[] }[], from: Man, dr: number, df: number): Man {
  const r = rowsShown.findIndex((row) => row.cells.includes(from));
  if (r < 0) return from;
  const f = rowsShown[r]!.cells.indexOf(from);
  for (let i = 1; i < 200; i++) {
    const row = rowsShown[r + dr * i];
    if (!row || f + df * i < 0 || f + df * i >= row.cells.length) return from;
    const man = row.cells[f + df * i];
    if (man) return man;
  }
  return from;
}

/** Where a man's value comes from, if it was not dealt freely. */
export function fixedBy(unit: Unit, man: Man, trait: string): 'figure' | 'role' | undefined {
  if (man.pinned.includes(trait)) return 'figure';
  const role = unit.figures.find((r) => r.role === man.id.role);
  return role?.traits?.[trait] !== undefined ? 'role' : undefined;
}

/** Pins one trait of a man, or lifts the pin (null). */
export function pin(unit: string, man: Man, trait: string, value: string | null): Recipe {
  return inSingle(unit, man.id.role, man.id.number, (s) => {
    const traits = { ...s.traits };
    if (value === null) delete traits[trait];
    else traits[trait] = value;
    if (Object.keys(traits).length > 0) s.traits = traits;
    else delete s.traits;
  });
}

export function liftPins(unit: string, man: Man): Recipe {
  return inSingle(unit, man.id.role, man.id.number, (s) => void delete s.traits);
}

/** Swaps what two men were dealt by pinning both where they differ, in the
    traits that show on both. */
export function swap(unit: string, a: Man, b: Man): Recipe {
  return (project) => {
    for (const trait of Object.keys(a.traits)) {
      const [mine, his] = [a.traits[trait], b.traits[trait]];
      if (mine === undefined || his === undefined || mine === his) continue;
      pin(unit, a, trait, his)(project);
      pin(unit, b, trait, mine)(project);
    }
  };
}

export function pinAll(unit: string, men: Man[]): Recipe {
  return (project) => {
    for (const man of men) {
      for (const [trait, value] of Object.entries(man.traits)) pin(unit, man, trait, value)(project);
    }
  };
}

export function liftAll(unit: string, men: Man[]): Recipe {
  return (project) => {
    for (const man of men) if (man.pinned.length > 0) liftPins(unit, man)(project);
  };
}

export interface ShareLine {
  value: string;
  share: number; // relative; what the field shows
  wanted: number; // men
  got: number;
  follows: boolean;
}

/** The shares of one trait in a unit, as wanted and as shown. */
export function sharesOf(trait: Trait, unit: Unit, dealt: UnitRoster | undefined, men: Man[]): ShareLine[] {
  const own = unit.shares?.[trait.name];
  const on = men.filter((m) => trait.name in m.traits);
  const total = own ? Object.values(own).reduce((a, b) => a + b, 0) : 0;
  return trait.values.map((v) => {
    const line = dealt?.shares.find((s) => s.trait === trait.name && s.value === v.name);
    const wanted = own ? (total > 0 ? (own[v.name] ?? 0) / total : 0) : (line?.wanted ?? 0);
    return {
      value: v.name,
      share: own ? (own[v.name] ?? 0) : Number(((line?.wanted ?? 0) * 100).toFixed(1)),
      wanted: wanted * on.length,
      got: on.filter((m) => m.traits[trait.name] === v.name).length,
      follows: !own && (line?.follows ?? false),
    };
  });
}

/** Writes one share; a unit that speaks of a trait's shares speaks of all of them. */
export function setShare(unit: string, trait: string, lines: ShareLine[], value: string, share: number): Recipe {
  return inUnit(unit, (u) => {
    const own = u.shares?.[trait] ?? Object.fromEntries(lines.filter((l) => l.share > 0).map((l) => [l.value, l.share]));
    u.shares = { ...u.shares, [trait]: { ...own, [value]: share } };
  });
}

export function resetShares(unit: string, trait: string): Recipe {
  return inUnit(unit, (u) => {
    if (!u.shares) return;
    const { [trait]: _gone, ...rest } = u.shares;
    if (Object.keys(rest).length > 0) u.shares = rest;
    else delete u.shares;
  });
}

/** Lets a unit's figures differ in a trait, or no longer. */
export function useTrait(unit: string, trait: string, on: boolean): Recipe {
  return inUnit(unit, (u) => {
    const traits = (u.traits ?? []).filter((t) => t !== trait);
    if (on) traits.push(trait);
    if (traits.length > 0) u.traits = traits;
    else delete u.traits;
    if (on) return;
    resetShares(unit, trait)({ units: [u] } as Project);
    for (const whose of [...u.figures, ...(u.single ?? [])]) {
      if (!whose.traits) continue;
      delete whose.traits[trait];
      if (Object.keys(whose.traits).length === 0) delete whose.traits;
    }
    prune(u);
  });
}

/** A few men who between them show every value of every trait: whom to ask the
    colours of. */
export function cover(men: Man[]): Man[] {
  const open = new Set(men.flatMap((m) => Object.entries(m.traits).map(([t, v]) => `${t}\n${v}`)));
  const out: Man[] = [];
  while (open.size > 0) {
    let best: Man | undefined;
    let most = 0;
    for (const m of men) {
      const n = Object.entries(m.traits).filter(([t, v]) => open.has(`${t}\n${v}`)).length;
      if (n > most) [best, most] = [m, n];
    }
    if (!best) break;
    out.push(best);
    for (const [t, v] of Object.entries(best.traits)) open.delete(`${t}\n${v}`);
  }
  return out;
}

/** What a value of a trait looks like on a man: the largest area it gives a
    finish to that the man has. */
export function swatchOf(trait: Trait, value: string, colours: Colours): string | undefined {
  const scheme = trait.values.find((v) => v.name === value)?.scheme ?? {};
  const on = colours.areas.filter((a) => a.area in scheme);
  return on.sort((a, b) => b.area_mm2 - a.area_mm2)[0]?.look.hex;
}
