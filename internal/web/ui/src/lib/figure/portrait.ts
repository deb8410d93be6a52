// Which man stands for a unit, and when his picture must be drawn anew.
import type { Figure, Project, Roster, Unit } from '../model.ts';

/** The first of a unit's most numerous role, once he is dealt. */
export function usualMan(unit: Unit, roster?: Roster): Figure | undefined {
  const role = unit.figures.reduce((best, r) => (r.count > best.count ? r : best), unit.figures[0] ?? { role: '', count: 0 }).role;
  return roster?.figures.find((f) => f.id.unit === unit.name && f.id.role === role && f.id.number === 1);
}

/** A short text that changes with whatever a figure's looks depend on, and not
    with what is left of a paint, with dates or with notes. */
export function lookOf(project: Project, unit: Unit, man: Figure): string {
  const { body, scheme, figures, single } = unit;
  const paints = project.rack.map(({ left_ml: _ml, left_g: _g, pot_ml: _pot, ...paint }) => paint);
  const { castings, finishes, mixes, undercoat, traits, ending, size_mm } = project;
  // Where figures stand in the roster goes by all units' numbers.
  const numbers = project.units.map((u) => u.figures.map((r) => r.count));
  return hash(JSON.stringify([body, scheme, figures, single, man.traits, paints, castings, finishes, mixes, undercoat, traits, ending, size_mm, numbers]));
}

// hash is FNV-1a over UTF-16 units; it need not resist anybody.
function hash(text: string): string {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  return (h >>> 0).toString(36);
}
