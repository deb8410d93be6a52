// What the air panel works out: temperatures in the person's own measures, the
// server's words among them, and forecasts as rows and as CSV.
import type { Schemas } from '../../../lib/model.ts';
import type { System } from '../../../lib/state/settings.svelte.ts';
import { number, scale } from '../../../lib/units.ts';

/** A difference of temperatures, "3 °C" or "5.4 °F": no 32 is added to it. */
export function difference(c: number, system: System): string {
  return system === 'imperial' ? `${number((c * 9) / 5, 1)} °F` : `${number(c, 1)} °C`;
}

/** The server's words as a sentence, with their temperatures in other measures. Those that say
    how far above something, or at least how much of that, are differences. */
export function inMeasures(words: string, system: System): string {
  const bare = words.replace(/ \(see [^)]*\)/g, '');
  const plain = bare.slice(0, 1).toUpperCase() + bare.slice(1);
  if (system === 'metric') return plain;
  const to = scale('temperature', system);
  const shown = (c: string, differs: boolean): string => number(differs ? (Number(c) * 9) / 5 : to.to(Number(c)), 1);
  return plain.replace(
    /(at least )?(-?\d+(?:\.\d+)?)(?: to (-?\d+(?:\.\d+)?))? °C( above)?/g,
    (_, least: string | undefined, a: string, b: string | undefined, above: string | undefined) => {
      const differs = !!least || !!above;
      const range = b === undefined ? shown(a, differs) : `${shown(a, differs)} to ${shown(b, differs)}`;
      return `${least ?? ''}${range} ${to.unit}${above ?? ''}`;
    },
  );
}

/** Where values lie on a common scale, in per cent of its width, with some room
    at both ends. */
export function places(values: readonly number[], room = 0.08): number[] {
  const low = Math.min(...values);
  const span = Math.max(...values) - low || 1;
  return values.map((v) => (room + ((v - low) / span) * (1 - 2 * room)) * 100);
}

/** One line of a forecast: local time, °C, %. */
export interface Row {
  day: string; // "2027-01-05"
  time: string; // "19:00"
  temperature: number;
  humidity: number;
}

export const mostRows = 60;
/** How many lines a project may hold. */
export const mostKept = 2000;

export type Forecast = Schemas['Forecast'];

/** Rows as a project holds them: in the order of time, each time once. */
export function toForecast(rows: readonly Row[]): Forecast[] {
  const at = new Map(rows.map((r) => [`${r.day} ${r.time}`, r]));
  return [...at.keys()].sort().map((k) => ({ at: k, temp_c: at.get(k)!.temperature, rh: at.get(k)!.humidity }));
}

/** A project's forecast as CSV. */
export function ofForecast(kept: readonly Forecast[]): string {
  return toText(kept.map((f) => ({ day: f.at.slice(0, 10), time: f.at.slice(11), temperature: f.temp_c, humidity: f.rh })));
}

/** A forecast of rows as the CSV that the server reads. */
export function toText(rows: readonly Row[]): string {
  if (rows.length === 0) return '';
  return ['time,temp_c,rh', ...rows.map((r) => `${r.day} ${r.time},${r.temperature},${r.humidity}`), ''].join('\n');
}

/** The rows of a CSV that is simple enough to be edited row by row; null for any
    other, which the server may still read. */
export function toRows(text: string): Row[] | null {
  const lines = text.split(/\r?\n/).filter((l) => l.trim() !== '');
  if (lines.length === 0) return [];
  const head = lines[0]!.split(',').map((h) => h.trim().toLowerCase());
  const at = (...starts: string[]): number => head.findIndex((h) => starts.some((s) => h.startsWith(s)));
  const [time, warm, damp] = [at('time', 'date'), at('temp'), at('rh', 'hum', 'relative')];
  if (time < 0 || warm < 0 || damp < 0) return null;
  const rows: Row[] = [];
  for (const line of lines.slice(1)) {
    const cells = line.split(',').map((c) => c.trim());
    const when = /^(\d{4}-\d\d-\d\d)[ T](\d\d:\d\d)(?::00)?$/.exec(cells[time] ?? '');
    const temperature = Number(cells[warm] || NaN);
    const humidity = Number(cells[damp] || NaN);
    if (!when || !Number.isFinite(temperature) || !Number.isFinite(humidity)) return null;
    rows.push({ day: when[1]!, time: when[2]!, temperature, humidity });
  }
  return rows;
}

/** One row for the begin of each of the first sittings, in the air planned for. */
export function fromSittings(sittings: readonly { start: string }[], temperature: number, humidity: number, most = 8): Row[] {
  return sittings.slice(0, most).map((s) => ({ day: s.start.slice(0, 10), time: s.start.slice(11, 16), temperature, humidity }));
}

/** One row more: a day after the last, else today at 19:00. */
export function next(rows: readonly Row[], today: string): Row {
  const last = rows.at(-1);
  if (!last) return { day: today, time: '19:00', temperature: 20, humidity: 50 };
  const day = new Date(Date.parse(`${last.day}T12:00:00Z`) + 86_400_000);
  return { ...last, day: Number.isNaN(day.getTime()) ? today : day.toISOString().slice(0, 10) };
}
