// Where a figure is looked at from. Angles in degrees; zoom 1 shows all of it.
export interface View {
  azimuth: number; // 0 is its front, 90 its left side
  elevation: number;
  zoom: number;
}

export const front: View = { azimuth: 30, elevation: 12, zoom: 1 };
const lowest = -20;
const highest = 80;
const mostZoom = 8;

export function turned(view: View, azimuth: number, elevation = 0): View {
  return {
    ...view,
    azimuth: around(view.azimuth + azimuth),
    elevation: Math.min(highest, Math.max(lowest, view.elevation + elevation)),
  };
}

export function zoomed(view: View, by: number): View {
  return { ...view, zoom: Math.min(mostZoom, Math.max(1, view.zoom * by)) };
}

/** An angle within −180 to 180. */
export function around(angle: number): number {
  return ((((angle + 180) % 360) + 360) % 360) - 180;
}

/** What a key does to a view; null when it does nothing. */
export function byKey(view: View, key: string): View | null {
  switch (key) {
    case 'ArrowLeft':
      return turned(view, -15);
    case 'ArrowRight':
      return turned(view, 15);
    case 'ArrowUp':
      return turned(view, 0, 10);
    case 'ArrowDown':
      return turned(view, 0, -10);
    case '+':
    case '=':
      return zoomed(view, 1.25);
    case '-':
      return zoomed(view, 0.8);
    case 'Home':
    case '0':
      return front;
  }
  return null;
}

/** A step of the way from one view to another, the short way around; share 0 to 1. */
export function between(from: View, to: View, share: number): View {
  const ease = share * share * (3 - 2 * share);
  const mix = (a: number, b: number): number => a + (b - a) * ease;
  return {
    azimuth: around(from.azimuth + around(to.azimuth - from.azimuth) * ease),
    elevation: mix(from.elevation, to.elevation),
    zoom: mix(from.zoom, to.zoom),
  };
}

/** The pointers on a figure: one turns it, two bring it nearer. */
export class Pointers {
  #at = new Map<number, { x: number; y: number }>();
  #moved = 0;

  down(id: number, x: number, y: number): void {
    this.#at.set(id, { x, y });
    if (this.#at.size === 1) this.#moved = 0;
  }
  /** The view after a pointer moved; null for one that is not down. */
  move(view: View, id: number, x: number, y: number): View | null {
    const last = this.#at.get(id);
    if (!last) return null;
    const apart = this.#apart();
    this.#at.set(id, { x, y });
    this.#moved += Math.abs(x - last.x) + Math.abs(y - last.y);
    if (this.#at.size === 1) return turned(view, (last.x - x) * 0.5, (y - last.y) * 0.35);
    const now = this.#apart();
    return apart > 0 && now > 0 ? zoomed(view, now / apart) : view;
  }
  /** Takes a pointer off; true when it was a click rather than a turn. */
  up(id: number): boolean {
    const known = this.#at.delete(id);
    const click = known && this.#at.size === 0 && this.#moved < 6;
    if (this.#at.size > 0) this.#moved = 1000; // the rest of a pinch is no click
    return click;
  }
  get count(): number {
    return this.#at.size;
  }
  #apart(): number {
    const [a, b] = [...this.#at.values()];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
  }
}
