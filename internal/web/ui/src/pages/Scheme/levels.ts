// Where a scheme says what an area gets: for the unit, by a trait dealt, for a
// role, for one figure. The later stands above the earlier.
import type { Project, Scheme } from '../../lib/model.ts';
import { pointer } from '../../lib/patch.ts';
import { inRole, inSingle, inUnit, prune, type Recipe } from '../Muster/units.ts';
import type { Who } from './who.ts';

export interface Level {
  kind: 'unit' | 'trait' | 'role' | 'figure';
  /** The trait and its value, where it is one. */
  trait?: string;
  value?: string;
  /** The finish, paint or mix, or "leave"; undefined where nothing is said. */
  says: string | undefined;
  /** The place in the file, by names. */
  at: string;
}

/** Every level that may speak of an area of a figure, the weakest first. */
export function levelsOf(project: Project, who: Who, traits: Record<string, string>, area: string): Level[] {
  const unit = project.units.find((u) => u.name === who.unit);
  if (!unit) return [];
  const out: Level[] = [{ kind: 'unit', says: unit.scheme?.[area], at: pointer('units', unit.name, 'scheme', area) }];
  // Of two traits the first listed stands above.
  for (const name of [...(unit.traits ?? [])].reverse()) {
    const value = project.traits?.find((t) => t.name === name)?.values?.find((v) => v.name === traits[name]);
    const says = value?.scheme?.[area];
    if (value && says !== undefined) {
      out.push({ kind: 'trait', trait: name, value: value.name, says, at: pointer('traits', name, 'values', value.name, 'scheme', area) });
    }
  }
  const role = unit.figures.find((r) => r.role === who.role);
  out.push({ kind: 'role', says: role?.scheme?.[area], at: pointer('units', unit.name, 'figures', who.role, 'scheme', area) });
  const single = unit.single?.find((s) => s.role === who.role && s.number === who.number);
  out.push({
    kind: 'figure',
    says: single?.scheme?.[area],
    at: pointer('units', unit.name, 'single', `${who.role} ${who.number}`, 'scheme', area),
  });
  return out;
}

/** The level whose word holds; undefined where none speaks. */
export function inForce(levels: readonly Level[]): Level | undefined {
  return levels.findLast((l) => l.says !== undefined);
}

export const sameLevel = (a: Level | undefined, b: Level | undefined): boolean => a?.at === b?.at;

/** Says what an area gets at a level; undefined takes the level's word back. */
export function say(who: Who, level: Pick<Level, 'kind' | 'trait' | 'value'>, area: string, finish: string | undefined): Recipe {
  const put = (holder: { scheme?: Scheme | undefined }, keep: boolean): void => {
    const scheme = { ...holder.scheme };
    if (finish === undefined) delete scheme[area];
    else scheme[area] = finish;
    if (keep || Object.keys(scheme).length > 0) holder.scheme = scheme;
    else delete holder.scheme;
  };
  switch (level.kind) {
    case 'unit':
      return inUnit(who.unit, (u) => put(u, true));
    case 'role':
      return inRole(who.unit, who.role, (r) => put(r, false));
    case 'figure':
      return inSingle(who.unit, who.role, who.number, (s) => put(s, false));
    case 'trait':
      return inValue(level.trait ?? '', level.value ?? '', (v) => put(v, true));
  }
}

/** Changes one value of a trait, if it is there. */
export function inValue(trait: string, value: string, change: (value: { name: string; scheme: Scheme }) => void): Recipe {
  return (project) => {
    const v = project.traits?.find((t) => t.name === trait)?.values?.find((v) => v.name === value);
    if (v) change(v as { name: string; scheme: Scheme });
  };
}

/** The figure with every area left as undercoated, for looking at the undercoat. */
export function bare(who: Who, areas: readonly string[]): Recipe {
  return inUnit(who.unit, (u) => {
    const rest = (u.single ?? []).filter((s) => s.role !== who.role || s.number !== who.number);
    const single = u.single?.find((s) => s.role === who.role && s.number === who.number) ?? { role: who.role, number: who.number };
    u.single = [...rest, { ...single, scheme: Object.fromEntries(areas.map((a) => [a, 'leave'])) }];
    prune(u);
  });
}
