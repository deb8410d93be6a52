import { number } from '../units.ts';

/** Reads a typed number; a comma is a point. Says what is wrong and the way out. */
export function readNumber(
  typed: string,
  { digits, min, max }: { digits: number; min: number; max: number },
): { value: number } | { said: string } {
  const text = typed.trim().replace(/\s/g, '').replace(',', '.').replace('−', '-');
  const value = text === '' ? Number.NaN : Number(text);
  if (!Number.isFinite(value)) return { said: `“${typed}” is not a number` };
  if (digits === 0 && !Number.isInteger(value)) return { said: 'A whole number, please' };
  if (value < min) return { said: `At least ${number(min, digits)}` };
  if (value > max) return { said: `At most ${number(max, digits)}` };
  return { value };
}
