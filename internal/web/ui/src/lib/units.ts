// Numbers, dates and measures in words, by Intl; metric or imperial. The data
// are always metric; only what is shown and typed changes.
import type { System } from './state/settings.svelte.ts';

const locale = 'en-GB';

// Formats are dear to make and cheap to use; a long order asks for thousands.
const numbers = new Map<number, Intl.NumberFormat>();
const dates = {
  long: new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'long', year: 'numeric' }),
  short: new Intl.DateTimeFormat(locale, { weekday: 'short', day: 'numeric', month: 'short' }),
};
const lists = new Intl.ListFormat(locale, { type: 'conjunction' });
const relative = new Intl.RelativeTimeFormat(locale);

/** A number with at most so many digits after the point. */
export function number(value: number, digits = 0): string {
  let format = numbers.get(digits);
  if (!format) numbers.set(digits, (format = new Intl.NumberFormat(locale, { maximumFractionDigits: digits })));
  return format.format(value);
}

/** A share of 0 to 1 as "42 %". */
export function percent(share: number, digits = 0): string {
  return `${number(share * 100, digits)} %`;
}

/** Minutes as "45 min", "2 h", "2 h 5 min". */
export function duration(minutes: number): string {
  const whole = Math.round(minutes);
  const hours = Math.floor(whole / 60);
  const rest = whole % 60;
  if (hours === 0) return `${rest} min`;
  return rest === 0 ? `${number(hours)} h` : `${number(hours)} h ${rest} min`;
}

/** A pass's minutes as cards and lists give them: no minute begun is left out. */
export function whole(minutes: number): number {
  return Math.ceil(minutes - 1e-6);
}

/** A date "2027-03-17" as "17 March 2027"; the text itself when it is none. */
export function date(iso: string, style: 'long' | 'short' = 'long'): string {
  const day = new Date(iso.length === 10 ? `${iso}T12:00:00` : iso);
  if (Number.isNaN(day.getTime())) return iso;
  return dates[style].format(day);
}

/** How long ago an instant was: "just now", "5 minutes ago", or its date. */
export function ago(iso: string, now = Date.now()): string {
  const seconds = (now - new Date(iso).getTime()) / 1000;
  if (Number.isNaN(seconds)) return iso;
  if (seconds < 60) return 'just now';
  const steps: [Intl.RelativeTimeFormatUnit, number, number][] = [
    ['minute', 60, 3600],
    ['hour', 3600, 86400],
    ['day', 86400, 7 * 86400],
  ];
  for (const [unit, size, end] of steps) {
    if (seconds < end) return relative.format(-Math.floor(seconds / size), unit);
  }
  return date(iso);
}

/** One or many: plural(3, 'figure', 'figures') is "3 figures". */
export function plural(n: number, one: string, many: string): string {
  return `${number(n)} ${n === 1 ? one : many}`;
}

/** Words as "a, b and c". */
export function list(words: string[]): string {
  return lists.format(words);
}

export type Measure = 'length' | 'area' | 'volume' | 'mass' | 'temperature';

interface Scale {
  unit: string;
  digits: number;
  to: (metric: number) => number;
  from: (shown: number) => number;
}

const times = (unit: string, digits: number, factor: number): Scale => ({
  unit,
  digits,
  to: (x) => x * factor,
  from: (x) => x / factor,
});

// 1 in = 25.4 mm exactly; 1 US fl oz = 29.5735295625 mL and 1 oz = 28.349523125 g
// exactly (NIST Handbook 44, Appendix C).
const scales: Record<System, Record<Measure, Scale>> = {
  metric: {
    length: times('mm', 1, 1),
    area: times('mm²', 1, 1),
    volume: times('mL', 1, 1),
    mass: times('g', 1, 1),
    temperature: times('°C', 1, 1),
  },
  imperial: {
    length: times('in', 2, 1 / 25.4),
    area: times('in²', 3, 1 / 25.4 ** 2),
    volume: times('fl oz', 2, 1 / 29.5735295625),
    mass: times('oz', 2, 1 / 28.349523125),
    temperature: { unit: '°F', digits: 1, to: (c) => (c * 9) / 5 + 32, from: (f) => ((f - 32) * 5) / 9 },
  },
};

/** The unit shown, and the way to it and back. Data: mm, mm², mL, g, °C. */
export function scale(measure: Measure, system: System): Scale {
  return scales[system][measure];
}

/** A metric value as it is shown: "25 mm" or "0.98 in". */
export function measured(value: number, measure: Measure, system: System): string {
  const s = scale(measure, system);
  return `${number(s.to(value), s.digits)} ${s.unit}`;
}
