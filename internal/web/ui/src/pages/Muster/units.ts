// Edits of units: recipes for ProjectState.edit, which find everything by name.
import type { Project, Role, Single, Unit } from '../../lib/model.ts';
import { copy } from '../../lib/patch.ts';

export type Recipe = (project: Project) => void;

/** Changes one unit, if it is there. */
export function inUnit(name: string, change: (unit: Unit) => void): Recipe {
  return (project) => {
    const unit = project.units.find((u) => u.name === name);
    if (unit) change(unit);
  };
}

/** Changes one role of a unit, if it is there. */
export function inRole(unit: string, role: string, change: (role: Role, unit: Unit) => void): Recipe {
  return inUnit(unit, (u) => {
    const r = u.figures.find((r) => r.role === role);
    if (r) change(r, u);
  });
}

/** Changes what makes one figure differ; made when it is not there, taken away
    when nothing is left of it. */
export function inSingle(unit: string, role: string, number: number, change: (single: Single) => void): Recipe {
  return inUnit(unit, (u) => {
    const list = u.single ?? [];
    let single = list.find((s) => s.role === role && s.number === number);
    if (!single) {
      single = { role, number };
      list.push(single);
    }
    change(single);
    u.single = list;
    prune(u);
  });
}

/** Takes away singles of which nothing is said any more. */
export function prune(unit: Unit): void {
  const rest = (unit.single ?? []).filter((s) => differs(s));
  if (rest.length > 0) unit.single = rest;
  else delete unit.single;
}

function differs(single: Single): boolean {
  const { scheme, traits, lacks, adds } = single;
  return (
    Object.keys(scheme ?? {}).length > 0 ||
    Object.keys(traits ?? {}).length > 0 ||
    (lacks ?? []).length > 0 ||
    (adds ?? []).length > 0
  );
}

/** How many figures a role shall have; singles beyond that go with it. */
export function count(unit: string, role: string, n: number): Recipe {
  return inRole(unit, role, (r, u) => {
    r.count = n;
    trim(u);
  });
}

export function removeRole(unit: string, role: string): Recipe {
  return inUnit(unit, (u) => {
    u.figures = u.figures.filter((r) => r.role !== role);
    trim(u);
  });
}

export function addRole(unit: string, role: string): Recipe {
  return inUnit(unit, (u) => {
    if (!u.figures.some((r) => r.role === role)) u.figures.push({ role, count: 1 });
  });
}

// trim drops singles whose figure is gone, and keeps the ranks possible.
function trim(unit: Unit): void {
  const rest = (unit.single ?? []).filter((s) => {
    const role = unit.figures.find((r) => r.role === s.role);
    return role !== undefined && s.number <= role.count;
  });
  if (rest.length > 0) unit.single = rest;
  else delete unit.single;
  const n = size(unit);
  if (unit.ranks && n > 0 && unit.ranks > n) unit.ranks = n;
}

/** Sets a text, or takes the field away when it is empty. */
export function text<K extends 'batch' | 'source' | 'uncertain' | 'ready_by'>(unit: string, key: K, value: string): Recipe {
  return inUnit(unit, (u) => {
    const said = value.trim();
    if (said) u[key] = said;
    else delete u[key];
  });
}

export const size = (unit: Unit): number => unit.figures.reduce((n, r) => n + r.count, 0);

/** A name that no other has: "Vey", "Vey 2", "Vey 3". */
export function freeName(wanted: string, taken: string[]): string {
  if (!taken.includes(wanted)) return wanted;
  for (let n = 2; ; n++) {
    const name = `${wanted} ${n}`;
    if (!taken.includes(name)) return name;
  }
}

/** A copy of a unit after it, under a name of its own. */
export function duplicate(name: string, as: string): Recipe {
  return (project) => {
    const at = project.units.findIndex((u) => u.name === name);
    if (at < 0) return;
    project.units.splice(at + 1, 0, { ...copy(project.units[at]!), name: as });
  };
}

export function remove(name: string): Recipe {
  return (project) => {
    project.units = project.units.filter((u) => u.name !== name);
  };
}

/** Moves a unit one place up (−1) or down (+1); the file's order is the painting order. */
export function move(name: string, by: number): Recipe {
  return (project) => {
    const from = project.units.findIndex((u) => u.name === name);
    const to = from + by;
    if (from < 0 || to < 0 || to >= project.units.length) return;
    const [unit] = project.units.splice(from, 1);
    project.units.splice(to, 0, unit!);
  };
}
