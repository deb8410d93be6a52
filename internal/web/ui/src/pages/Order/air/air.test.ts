import { expect, test } from 'vitest';
import { difference, fromSittings, inMeasures, next, ofForecast, places, toForecast, toRows, toText } from './air.ts';

test('a forecast is kept in the order of time, each time once, and is the same again', () => {
  const text = 'time,temp_c,rh\n2027-01-07 19:00,18,55\n2027-01-05 19:00,4,90\n2027-01-07 19:00,0,60\n';
  const kept = toForecast(toRows(text)!);
  expect(kept).toEqual([
    { at: '2027-01-05 19:00', temp_c: 4, rh: 90 },
    { at: '2027-01-07 19:00', temp_c: 0, rh: 60 },
  ]);
  expect(toForecast(toRows(ofForecast(kept))!)).toEqual(kept);
});

test('a difference of temperatures has no 32 in it', () => {
  expect(difference(3, 'metric')).toBe('3 °C');
  expect(difference(5, 'imperial')).toBe('9 °F'); // 9/5, by the definition of the degree Fahrenheit
});

test('the server’s words in °F: what is above something is a difference', () => {
  const said = 'the surface, measured at 15 °C, is 5 °C above the dew point, 10.0 °C; at least 3 °C are wanted (ISO 8502-4)';
  expect(inMeasures(said, 'imperial')).toBe(
    'The surface, measured at 59 °F, is 9 °F above the dew point, 50 °F; at least 5.4 °F are wanted (ISO 8502-4)',
  );
  expect(inMeasures('20 °C is within the 15 to 25 °C to spray in', 'imperial')).toBe('68 °F is within the 59 to 77 °F to spray in');
  expect(inMeasures('castings of -10 °C are warm enough (15.5 °C are wanted)', 'imperial')).toBe('Castings of 14 °F are warm enough (59.9 °F are wanted)');
  expect(inMeasures(said, 'metric').toLowerCase()).toBe(said.toLowerCase());
});

test('words about the command line are left out', () => {
  expect(inMeasures('no dew is left on them (see --from-cold)', 'metric')).toBe('No dew is left on them');
});

test('places keep their order and some room', () => {
  expect(places([0, 5, 10], 0.1)).toEqual([10, 50, 90]);
  expect(places([4, 4], 0.1)).toEqual([10, 10]);
});

test('a forecast goes from rows to CSV and back', () => {
  const rows = [
    { day: '2027-01-05', time: '19:00', temperature: 18.5, humidity: 55 },
    { day: '2027-01-06', time: '07:30', temperature: -2, humidity: 90 },
  ];
  expect(toRows(toText(rows))).toEqual(rows);
  expect(toText([])).toBe('');
  expect(toRows('')).toEqual([]);
});

test('columns are found by their headings; what is not simple is left to the server', () => {
  expect(toRows('station,Humidity %,Temperature,time\nA,55,18,2027-01-05T19:00')).toEqual([
    { day: '2027-01-05', time: '19:00', temperature: 18, humidity: 55 },
  ]);
  expect(toRows('time,temp,rh\n2027-01-05T19:00:00Z,18,55')).toBeNull();
  expect(toRows('time,temp,rh\n2027-01-05 19:00,,55')).toBeNull();
  expect(toRows('a,b\n1,2')).toBeNull();
});

test('a row more is a day later, over the end of a month', () => {
  expect(next([{ day: '2027-01-31', time: '19:00', temperature: 18, humidity: 55 }], '2027-01-01').day).toBe('2027-02-01');
  expect(next([], '2027-01-01').day).toBe('2027-01-01');
  expect(fromSittings([{ start: '2027-01-05T19:30:00+01:00' }], 20, 50)).toEqual([{ day: '2027-01-05', time: '19:30', temperature: 20, humidity: 50 }]);
});
