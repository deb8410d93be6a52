// What is worth a second look on an area, from the colours that are predicted.
import type { AreaColours, Finding, Hex, Project, Schemas } from '../../lib/model.ts';
import { pointerParts } from '../../lib/patch.ts';
import type { Meant } from './finishes.ts';

/** What was found on one area. */
export type Warning =
  | { kind: 'shows-through'; dark: Hex; light: Hex; deltaE: number }
  | { kind: 'over-dark'; here: Hex; overLight: Hex; deltaE: number; paint: string }
  | { kind: 'finding'; finding: Finding }
  | { kind: 'not-owned'; paint: string; need: Need }
  | { kind: 'short'; paint: string; need: Need };

export type Need = Schemas['Need'];

/** What the server doubts of an area's cover. */
export function coverOf({ cover }: AreaColours): Warning[] {
  if (!cover) return [];
  const { kind, dark, light, delta_e00: deltaE, paint } = cover;
  return [kind === 'shows-through' ? { kind, dark, light, deltaE } : { kind, here: dark, overLight: light, deltaE, paint }];
}

/** Every paint that coats need, the parts of mixes among them. */
export function paintsOf(project: Project, meant: Meant): string[] {
  const out = new Set<string>();
  for (const coat of meant.coats) {
    const mix = project.mixes?.find((m) => m.name === coat.paint);
    for (const paint of mix ? mix.parts.map((p) => p.paint) : [coat.paint]) out.add(paint);
  }
  return [...out];
}

/** Paints that are not there, or not enough of them. */
export function missing(project: Project, meant: Meant, needs: readonly Need[]): Warning[] {
  return paintsOf(project, meant).flatMap((paint): Warning[] => {
    const need = needs.find((n) => n.paint === paint);
    const owned = project.rack.find((p) => p.name === paint)?.owned !== false;
    if (!owned) return [{ kind: 'not-owned', paint, need: need ?? { paint, kind: '', area_mm2: 0, short: 0, buy: 0, owned: false } }];
    return need && need.short > 0 ? [{ kind: 'short', paint, need }] : [];
  });
}

/** Findings about an area of a unit: by their place, or by the area they name. */
export function findingsOn(findings: readonly Finding[], unit: string, area: string, finish: string, at: string): Finding[] {
  return findings.filter((f) => {
    if (at && (f.path === at || f.path.startsWith(`${at}/`))) return true;
    const parts = pointerParts(f.path);
    if (parts[0] === 'finishes' && parts[1] === finish) return true;
    return parts[0] === 'units' && parts[1] === unit && (f.value === area || parts.at(-1) === area);
  });
}
