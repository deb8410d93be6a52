// What the rack page works out: how a paint's colour is known, what it shows in
// the list, and how far what is left will go.
import type { Paint, Schemas, Shopping, StarterPaint } from '../../lib/model.ts';

export type Need = Schemas['Need'];
export const kinds = ['opaque', 'translucent', 'wash', 'oil wash', 'ink', 'metallic', 'primer', 'varnish', 'glue', 'texture'] as const;
export type Show = 'all' | 'needed' | 'low' | 'buy';

export type Basis = 'like' | 'swatch' | 'one' | 'none';

/** How the colour of a paint is known, the best way first. */
export function basisOf(paint: Paint): Basis {
  if (paint.like) return 'like';
  if (paint.over_black && paint.over_white) return 'swatch';
  if (paint.colour || paint.over_white || paint.over_black) return 'one';
  return 'none';
}

/** What a paint shows over black and over white, as far as that is known. */
export function facesOf(paint: Paint, starter: Map<string, StarterPaint>): { black: string; white: string } {
  const like = paint.like ? starter.get(paint.like) : undefined;
  const one = paint.colour ?? paint.over_white ?? paint.over_black ?? '';
  return {
    black: like?.over_black.hex ?? paint.over_black ?? one,
    white: like?.over_white.hex ?? paint.over_white ?? one,
  };
}

export interface Row {
  paint: Paint;
  need?: Need;
  owned: boolean;
  low: boolean;
}

/** Below this share of a full pot, or of what the project takes, it runs low. */
export const lowShare = 0.2;

export function rowsOf(rack: readonly Paint[], shopping: Shopping | null): Row[] {
  const needs = new Map([...(shopping?.paints ?? []), ...(shopping?.materials ?? [])].map((n) => [n.paint, n]));
  return rack.map((paint) => {
    const need = needs.get(paint.name);
    const owned = paint.owned !== false;
    const left = paint.kind === 'texture' ? paint.left_g : paint.left_ml;
    const pot = paint.kind === 'texture' ? (paint.pot_g ?? 0) : (paint.pot_ml ?? 0);
    const low = owned && left !== undefined && pot > 0 && left < lowShare * pot;
    return { paint, ...(need ? { need } : {}), owned, low };
  });
}

export function shown(rows: Row[], show: Show, text: string): Row[] {
  const wanted = text.trim().toLocaleLowerCase();
  return rows.filter((r) => {
    if (wanted && !`${r.paint.name} ${r.paint.kind} ${r.paint.note ?? ''}`.toLocaleLowerCase().includes(wanted)) return false;
    if (show === 'needed') return !!r.need;
    if (show === 'low') return r.low || (r.need?.buy ?? 0) > 0;
    if (show === 'buy') return (r.need?.buy ?? 0) > 0;
    return true;
  });
}

/** A name that nothing on the rack has yet. */
export function freeName(taken: readonly { name: string }[], make: (n: number) => string): string {
  for (let n = 1; ; n++) {
    const name = make(n);
    if (!taken.some((x) => x.name === name)) return name;
  }
}

/** A mix in words: "3 sky blue + 1 white". */
export function mixWords(parts: readonly { paint: string; parts: number }[]): string {
  return parts.map((p) => `${p.parts} ${p.paint}`).join(' + ');
}
