// What the pace panel works out: factors put together by technique, and where
// they lie on a scale on which twice as long is as far off as half as long.
import type { Schemas } from '../../../lib/model.ts';

export type Factor = Schemas['Factor'];

/** Factors of one technique, in the order they came. */
export function byTechnique(factors: readonly Factor[]): { technique: string; factors: Factor[] }[] {
  const groups: { technique: string; factors: Factor[] }[] = [];
  for (const f of factors) {
    const group = groups.find((g) => g.technique === f.technique);
    if (group) group.factors.push(f);
    else groups.push({ technique: f.technique, factors: [f] });
  }
  return groups;
}

export interface LogScale {
  low: number;
  high: number;
  /** Where a factor lies, in per cent of the width. */
  at: (factor: number) => number;
  ticks: number[];
}

/** A logarithmic scale that holds all factors, with 1 in the middle. */
export function logScale(factors: readonly Factor[]): LogScale {
  let far = 2;
  for (const f of factors) {
    for (const x of [f.factor_p5, f.factor_p95]) {
      if (x > 0 && Number.isFinite(x)) far = Math.max(far, x, 1 / x);
    }
  }
  far = Math.min(far * 1.05, 16);
  const width = Math.log(far);
  const at = (x: number): number => Math.min(100, Math.max(0, 50 + (50 * Math.log(Math.max(x, 1e-9))) / width));
  const ticks = [0.25, 0.5, 1, 2, 4].filter((x) => x >= 1 / far && x <= far);
  return { low: 1 / far, high: far, at, ticks };
}

/** A linear scale from 0 to the greatest value, in per cent. */
export function fromZero(values: readonly number[]): (x: number) => number {
  const most = Math.max(1e-9, ...values);
  return (x) => Math.min(100, Math.max(0, (96 * x) / most));
}
