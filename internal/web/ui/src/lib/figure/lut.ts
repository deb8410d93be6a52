// Colours over exposure, packed for a texture: one row of sixteen per area.
import type { Hex } from '../model.ts';

/** Colours of a row: the server gives as many, from no light undercoat to a full one. */
export const steps = 16;

/** What an area shows by exposure, 0 to 1: sixteen colours, or one for all. */
export type Ramps = ReadonlyMap<string, readonly Hex[]>;

const unknown = [128, 128, 128] as const;

/** The bytes of a colour "#rrggbb"; mid-grey when it is none. */
export function rgb(hex: Hex): readonly [number, number, number] {
  const n = /^#[0-9a-f]{6}$/i.test(hex) ? Number.parseInt(hex.slice(1), 16) : Number.NaN;
  return Number.isNaN(n) ? unknown : [n >> 16, (n >> 8) & 255, n & 255];
}

/** Rows of RGBA bytes (sRGB) in the order of the areas; areas without a ramp stay
    as they were in `into`, or become mid-grey. */
export function pack(areas: readonly string[], ramps: Ramps, into?: Uint8Array): Uint8Array {
  const size = areas.length * steps * 4;
  const out = into && into.length === size ? into : new Uint8Array(size).fill(128);
  areas.forEach((area, row) => {
    const ramp = ramps.get(area);
    if (!ramp || ramp.length === 0) return;
    for (let i = 0; i < steps; i++) {
      const [r, g, b] = rgb(ramp[Math.round((i * (ramp.length - 1)) / (steps - 1))]!);
      out.set([r, g, b, 255], (row * steps + i) * 4);
    }
  });
  return out;
}
