// The labels of a mesh's faces, as the server packs them and as they are drawn.
import type { MeshLabels } from '../../lib/model.ts';

/** The label of each face, as a number into `labels`. */
export function rowsOf(labels: Pick<MeshLabels, 'faces' | 'runs'>): Uint16Array {
  const rows = new Uint16Array(labels.faces);
  let at = 0;
  for (const [label, n] of labels.runs as [number, number][]) {
    rows.fill(label, at, at + n);
    at += n;
  }
  return rows;
}

/** How much of the surface has a label: 0 to 1, and the mm² that have none. */
export function progress(labels: Pick<MeshLabels, 'areas'>): { share: number; left: number } {
  const all = labels.areas.reduce((sum, a) => sum + a.area_mm2, 0);
  const left = labels.areas.find((a) => a.area === '')?.area_mm2 ?? 0;
  return { share: all > 0 ? 1 - left / all : 0, left };
}

/** How many faces two labellings give to different areas. */
export function differing(a: Pick<MeshLabels, 'faces' | 'runs' | 'labels'>, b: Pick<MeshLabels, 'faces' | 'runs' | 'labels'>): number {
  const [x, y] = [rowsOf(a), rowsOf(b)];
  let n = 0;
  for (let i = 0; i < Math.max(x.length, y.length); i++) if (a.labels[x[i]!] !== b.labels[y[i]!]) n++;
  return n;
}

/** Colours to tell areas apart by, beside their names: hues a golden angle from
    one another at three lightnesses. They mean nothing else. */
export function tint(index: number): string {
  const hue = (index * 137.508) % 360;
  const light = [0.62, 0.46, 0.76][index % 3]!;
  const s = 0.5;
  const c = s * Math.min(light, 1 - light);
  const channel = (n: number): string => {
    const k = (n + hue / 30) % 12;
    const v = light - c * Math.max(-1, Math.min(k - 3, 9 - k, 1));
    return Math.round(255 * v)
      .toString(16)
      .padStart(2, '0');
  };
  return `#${channel(0)}${channel(8)}${channel(4)}`;
}

export const blank = '#b9b3a6'; // what has no label

/** A place of the model (metres, Y up) in the mesh's own millimetres (Z up). */
export function inMM([x, y, z]: readonly [number, number, number]): [number, number, number] {
  return [-1000 * x, 1000 * z, 1000 * y];
}
