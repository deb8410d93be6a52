// Finishes: what names mean, who wears them, and changes of their coats.
import type { Coat, Finish, Mix, Project, Scheme } from '../../lib/model.ts';
import { copy } from '../../lib/patch.ts';
import { freeName, inUnit, type Recipe } from '../Muster/units.ts';

export const leave = 'leave';

export interface Meant {
  kind: 'finish' | 'mix' | 'paint' | 'leave' | 'unknown';
  coats: Coat[];
}

/** What a scheme means by a name, as the server resolves it. */
export function meaning(project: Project, name: string): Meant {
  const finish = project.finishes.find((f) => f.name === name);
  if (finish) return { kind: 'finish', coats: finish.coats ?? [] };
  if (name === leave) return { kind: 'leave', coats: [] };
  if (project.mixes?.some((m) => m.name === name)) return { kind: 'mix', coats: [{ paint: name }] };
  if (project.rack.some((p) => p.name === name)) return { kind: 'paint', coats: [{ paint: name }] };
  return { kind: 'unknown', coats: [] };
}

/** What may be laid: every mix, and every paint that is not glue or texture. */
export function media(project: Project): { mixes: string[]; paints: string[] } {
  return {
    mixes: (project.mixes ?? []).map((m) => m.name),
    paints: project.rack.filter((p) => p.kind !== 'glue' && p.kind !== 'texture').map((p) => p.name),
  };
}

/** "3 sky blue + 1 deep green". */
export function partsInWords(mix: Pick<Mix, 'parts'>): string {
  return mix.parts.map((p) => `${p.parts} ${p.paint}`).join(' + ');
}

export interface Uses {
  /** Units whose own schemes, or whose traits, name it. */
  units: string[];
  /** Places that name it. */
  places: number;
}

/** Who wears a finish. */
export function usesOf(project: Project, finish: string): Uses {
  const units = new Set<string>();
  let places = 0;
  const count = (scheme: Scheme | undefined): number => Object.values(scheme ?? {}).filter((f) => f === finish).length;
  for (const u of project.units) {
    const n = [u.scheme, ...u.figures.map((r) => r.scheme), ...(u.single ?? []).map((s) => s.scheme)].reduce((sum, s) => sum + count(s), 0);
    if (n > 0) units.add(u.name);
    places += n;
  }
  for (const trait of project.traits ?? []) {
    const n = trait.values.reduce((sum, v) => sum + count(v.scheme), 0);
    places += n;
    if (n > 0) for (const u of project.units) if (u.traits?.includes(trait.name)) units.add(u.name);
  }
  return { units: project.units.map((u) => u.name).filter((name) => units.has(name)), places };
}

/** Changes one finish, if it is there. */
export function inFinish(name: string, change: (finish: Finish) => void): Recipe {
  return (project) => {
    const finish = project.finishes.find((f) => f.name === name);
    if (finish) change(finish);
  };
}

/** Changes one coat; fields that become undefined are left out. */
export function changeCoat(finish: string, index: number, change: Partial<{ [K in keyof Coat]: Coat[K] | undefined }>): Recipe {
  return inFinish(finish, (f) => {
    const coat = f.coats[index];
    if (!coat) return;
    for (const [key, value] of Object.entries(change)) {
      const fields = coat as unknown as Record<string, unknown>;
      if (value === undefined || value === '' || value === false) delete fields[key];
      else fields[key] = value;
    }
  });
}

export const addCoat = (finish: string, paint: string): Recipe => inFinish(finish, (f) => void f.coats.push({ paint }));

export const removeCoat = (finish: string, index: number): Recipe => inFinish(finish, (f) => void f.coats.splice(index, 1));

/** Moves a coat to another place in the order. */
export function moveCoat(finish: string, from: number, to: number): Recipe {
  return inFinish(finish, (f) => {
    if (from === to || from < 0 || to < 0 || from >= f.coats.length || to >= f.coats.length) return;
    const [coat] = f.coats.splice(from, 1);
    f.coats.splice(to, 0, coat!);
  });
}

/** A name for a new finish that no finish, mix or paint has. */
export function freeFinish(project: Project, wanted: string): string {
  return freeName(wanted, [
    leave,
    ...project.finishes.map((f) => f.name),
    ...(project.mixes ?? []).map((m) => m.name),
    ...project.rack.map((p) => p.name),
  ]);
}

/** Adds a finish. */
export function create(name: string, coats: Coat[]): Recipe {
  return (project) => {
    if (!project.finishes.some((f) => f.name === name)) project.finishes.push({ name, coats: copy(coats) });
  };
}

/** Gives a unit a copy of a finish of its own, wherever its own schemes name it. */
export function copyFor(unit: string, finish: string, as: string): Recipe {
  const swap = (scheme: Scheme | undefined): void => {
    for (const [area, f] of Object.entries(scheme ?? {})) if (f === finish) scheme![area] = as;
  };
  return (project) => {
    const from = project.finishes.find((f) => f.name === finish);
    if (!from || project.finishes.some((f) => f.name === as)) return;
    project.finishes.splice(project.finishes.indexOf(from) + 1, 0, { ...copy(from), name: as });
    inUnit(unit, (u) => {
      swap(u.scheme);
      for (const role of u.figures) swap(role.scheme);
      for (const single of u.single ?? []) swap(single.scheme);
    })(project);
  };
}

/** One after another. */
export function together(...recipes: Recipe[]): Recipe {
  return (project) => {
    for (const recipe of recipes) recipe(project);
  };
}

/** Whether a unit's own schemes (not its traits) name a finish. */
export function wornBy(project: Project, unit: string, finish: string): boolean {
  const u = project.units.find((x) => x.name === unit);
  if (!u) return false;
  return [u.scheme, ...u.figures.map((r) => r.scheme), ...(u.single ?? []).map((s) => s.scheme)].some((s) => Object.values(s ?? {}).includes(finish));
}
