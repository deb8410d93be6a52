// Whose scheme is looked at: one figure of a role of a unit.
import type { FigureID, Project, Roster, Scheme, Unit } from '../../lib/model.ts';

export interface Who {
  unit: string;
  role: string;
  number: number;
}

export const same = (a: Who | FigureID, b: Who | FigureID): boolean =>
  a.unit === b.unit && a.role === b.role && a.number === b.number;

export const whoKey = (who: Who): string => JSON.stringify([who.unit, who.role, who.number]);

/** Whom an address means: /scheme/unit/NAME?role=…&number=…, or ?figure= with
    the figure's place in the roster. What is missing or gone takes the usual:
    the first unit, its most numerous role, the first man. */
export function whoOf(project: Project, rest: readonly string[], query: URLSearchParams, roster?: Roster): Who | null {
  const index = query.get('figure');
  const listed = index === null ? undefined : roster?.figures.find((f) => f.index === Number(index))?.id;
  if (listed && project.units.some((u) => u.name === listed.unit)) return fit(project, { ...listed });
  const name = rest[0] === 'unit' ? rest[1] : undefined;
  return fit(project, {
    unit: name ?? '',
    role: query.get('role') ?? '',
    number: Number(query.get('number') ?? 1),
  });
}

function fit(project: Project, who: Who): Who | null {
  const unit = project.units.find((u) => u.name === who.unit) ?? project.units[0];
  if (!unit) return null;
  const role = unit.figures.find((r) => r.role === who.role) ?? largest(unit);
  if (!role) return null;
  const number = Number.isInteger(who.number) && who.number >= 1 && who.number <= role.count ? who.number : 1;
  return { unit: unit.name, role: role.role, number };
}

function largest(unit: Unit): Unit['figures'][number] | undefined {
  return unit.figures.reduce<Unit['figures'][number] | undefined>((best, r) => (!best || r.count > best.count ? r : best), undefined);
}

/** What a figure was dealt, with what the project fixes since. */
export function traitsOf(project: Project, who: Who, roster?: Roster): Record<string, string> {
  const unit = project.units.find((u) => u.name === who.unit);
  return {
    ...roster?.figures.find((f) => same(f.id, who))?.traits,
    ...unit?.figures.find((r) => r.role === who.role)?.traits,
    ...unit?.single?.find((s) => s.role === who.role && s.number === who.number)?.traits,
  };
}

/** Where in the roster a unit's figures stand. */
export function rangeOf(project: Project, unit: string): [number, number] {
  let from = 0;
  for (const u of project.units) {
    const n = u.figures.reduce((sum, r) => sum + r.count, 0);
    if (u.name === unit) return [from, from + n];
    from += n;
  }
  return [0, 0];
}

/** A figure that wears a finish, and the area it wears it on. */
export function wearer(project: Project, finish: string, roster?: Roster): { who: Who; area: string } | null {
  const on = (scheme: Scheme | undefined): string | undefined => Object.entries(scheme ?? {}).find(([, f]) => f === finish)?.[0];
  for (const u of project.units) {
    const usual = fit(project, { unit: u.name, role: '', number: 1 });
    const unit = on(u.scheme);
    if (usual && unit) return { who: usual, area: unit };
    for (const r of u.figures) {
      const area = on(r.scheme);
      if (area) return { who: { unit: u.name, role: r.role, number: 1 }, area };
    }
    for (const { role, number, scheme } of u.single ?? []) {
      const area = on(scheme);
      if (area) return { who: { unit: u.name, role, number }, area };
    }
  }
  for (const trait of project.traits ?? []) {
    for (const value of trait.values) {
      const area = on(value.scheme);
      const figure = area ? roster?.figures.find((f) => f.traits[trait.name] === value.name) : undefined;
      if (area && figure) return { who: { ...figure.id }, area };
    }
  }
  return null;
}
