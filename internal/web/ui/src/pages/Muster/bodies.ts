// Which areas the castings of a project have.
import type { AddsArea, AreaSpec, Bodies, Casting, Project } from '../../lib/model.ts';

export interface Varies {
  lacks?: string[] | undefined;
  adds?: AddsArea[] | undefined;
}

/** The areas of a body after what is lacking and added. */
export function vary(areas: AreaSpec[], { lacks = [], adds = [] }: Varies, catalogue: AreaSpec[]): AreaSpec[] {
  const out = areas.filter((a) => !lacks.includes(a.area));
  for (const add of adds) {
    const known = catalogue.find((a) => a.area === add.area);
    const spec: AreaSpec = {
      ...(known ?? { area: add.area, part: 'man', area_mm2: 0, fiddly: 1.3, exposure: 0.5, estimated: true }),
      ...(add.area_mm2 ? { area_mm2: add.area_mm2 } : {}),
      ...(add.fiddly ? { fiddly: add.fiddly } : {}),
      ...(add.over?.length ? { over: add.over } : {}),
    };
    const at = out.findIndex((a) => a.area === add.area);
    if (at >= 0) out[at] = spec;
    else out.push(spec);
  }
  return out;
}

/** The areas of a body or casting by name; [] where it is not known. */
export function areasOf(name: string, project: Pick<Project, 'castings'>, bodies: Bodies, depth = 0): AreaSpec[] {
  const ready = bodies.bodies.find((b) => b.body === name);
  if (ready) return ready.areas;
  const casting = project.castings?.find((c) => c.name === name);
  if (!casting || depth > 20) return [];
  return vary(areasOf(casting.like, project, bodies, depth + 1), casting, bodies.catalogue);
}

/** The ready-made body at the root of a casting. */
export function rootOf(name: string, project: Pick<Project, 'castings'>, depth = 0): string {
  const casting = project.castings?.find((c) => c.name === name);
  return casting && depth < 20 ? rootOf(casting.like, project, depth + 1) : name;
}

/** Everything that may be chosen as a unit's or casting's body; without those
    that would make a casting like itself. */
export function bodyNames(project: Pick<Project, 'castings'>, bodies: Bodies, not?: Casting): string[] {
  const castings = (project.castings ?? []).filter((c) => {
    for (let name = c.name, n = 0; n < 20; n++) {
      if (name === not?.name) return false;
      const next = project.castings?.find((x) => x.name === name);
      if (!next) return true;
      name = next.like;
    }
    return true;
  });
  return [...bodies.bodies.map((b) => b.body), ...castings.map((c) => c.name)];
}

/** Takes an area off or puts it back, in the draft of what varies. `has` is what
    it has without lacks and adds. */
export function toggle(varies: Varies, area: string, has: boolean, on: boolean): void {
  const lacks = (varies.lacks ?? []).filter((a) => a !== area);
  const adds = (varies.adds ?? []).filter((a) => a.area !== area);
  if (has && !on) lacks.push(area);
  if (!has && on) adds.push({ area });
  set(varies, lacks, on && has ? (varies.adds ?? []) : adds);
}

/** Adds an area, or changes how it is added. */
export function add(varies: Varies, area: AddsArea): void {
  const lacks = (varies.lacks ?? []).filter((a) => a !== area.area);
  const adds = [...(varies.adds ?? [])];
  const at = adds.findIndex((a) => a.area === area.area);
  if (at >= 0) adds[at] = area;
  else adds.push(area);
  set(varies, lacks, adds);
}

function set(varies: Varies, lacks: string[], adds: AddsArea[]): void {
  if (lacks.length > 0) varies.lacks = lacks;
  else delete varies.lacks;
  if (adds.length > 0) varies.adds = adds;
  else delete varies.adds;
}
