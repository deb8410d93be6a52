import { date, duration, number, percent as loose, plural } from '../units.ts';

// Kept on one line.
const percent = (share: number): string => loose(share).replace(' ', '\u00a0');

const share = (factor: number): string =>
  Math.abs(factor - 1) < 0.03 ? 'as planned' : factor > 1 ? `${percent(factor - 1)} longer` : `${percent(1 - factor)} quicker`;

export const pace = {
  'empty.title': 'Nothing was timed yet',
  'empty.how':
    'Start a pass at the bench and tick it off when it is done: the time between is what your pace is learned from. Pauses do not count.',
  'empty.what':
    'After a few passes the plan reckons with your own times: how you are with a wash or a drybrush, on open cloth or on lace. Until then it reckons with the usual ones.',
  'empty.go': 'To the bench',

  sum: (passes: number) =>
    passes > 0
      ? `Learned from ${plural(passes, 'timed pass', 'timed passes')}. The plan reckons with it.`
      : 'Nothing is learned yet: no time is believed so far. The plan reckons with the usual ones.',
  unread: (n: number) =>
    n === 1 ? 'One timed entry is about work that the project does not ask for any more.' : `${number(n)} timed entries are about work that the project does not ask for any more.`,

  'factors.title': 'Your times beside the usual ones',
  'factors.help': 'The dot is the likeliest factor, the bar holds it in nine cases of ten; the line in the middle is the usual time. Left of it is quicker.',
  'factors.axis': (x: number) => `${number(x, 2)} ×`,
  'factor.words': (f: number, low: number, high: number) => `${number(f, 2)} × the usual time, ${number(low, 2)} to ${number(high, 2)} in nine cases of ten`,
  'factor.short': (f: number) => share(f),
  'factor.passes': (own: number, effective: number) =>
    own === 0
      ? `none of its own yet; what others tell is worth ${plural(round(effective), 'pass', 'passes')}`
      : `${plural(own, 'pass', 'passes')} of its own, with what others tell worth ${number(effective, 1)}`,

  'technique.brush': 'Brush',
  'technique.wash': 'Wash',
  'technique.drybrush': 'Drybrush',
  'technique.dot': 'Dots',
  'technique.line': 'Lines',
  'technique.glaze': 'Glaze',
  'technique.spray': 'Spray',
  'technique.glue': 'Glue',
  'technique.prepare': 'Preparing',
  'technique.fit': 'Flags',
  'technique.set-up': 'Changing paint and tool',
  'fiddliness.easy': 'open areas',
  'fiddliness.middling': 'middling areas',
  'fiddliness.fiddly': 'fiddly areas',
  'fiddliness.': 'all',

  'scores.title': 'How good the forecasts were',
  'scores.none': 'Too few passes yet to say.',
  'scores.text': (passes: number, crps: number, usual: number) =>
    `Each of ${plural(passes, 'pass', 'passes')} was forecast from those before it, and missed by ${number(crps, 1)} min; with the usual times alone it would have been ${number(usual, 1)} min.`,
  'scores.better': (share: number) => `Learning makes forecasts ${percent(share)} better.`,
  'scores.worse': 'Learning does not pay yet: the usual times did as well.',
  'scores.inside': 'Passes inside what was forecast',
  'scores.half': (share: number) => `${percent(share)} fell inside the middle half; 50\u00a0% would be honest.`,
  'scores.ninety': (share: number) => `${percent(share)} fell inside the middle 90\u00a0%; 90\u00a0% would be honest.`,
  'rest.title': 'What was left, as forecast and as it came',
  'rest.after': 'After',
  'rest.forecast': 'Forecast',
  'rest.actual': 'Took',
  'rest.passes': (n: number) => plural(n, 'pass', 'passes'),
  'rest.range': (p50: number, p10: number, p90: number) => `${duration(p50)}, ${duration(p10)} to ${duration(p90)} in eight cases of ten`,

  'doubted.title': 'Not believed',
  'doubted.lead': 'These times were probably no measure of the work: a watch that was not stopped, or stopped at once. They count for little.',
  doubted: (medium: string, what: string, day: string, planned: number, measured: number) =>
    `${date(day)}: ${[medium, what.toLowerCase()].filter(Boolean).join(', ')}, planned ${duration(planned)}, timed ${duration(measured)}`,
} as const;

function round(x: number): number {
  return Math.round(x * 10) / 10;
}
