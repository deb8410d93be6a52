import { expect, test } from 'vitest';
import type { Figure, Project, Roster, Unit } from '../model.ts';
import { lookOf, usualMan } from './portrait.ts';

const unit = { name: 'Vey', body: 'foot', scheme: { coat: 'red' }, figures: [{ role: 'officer', count: 1 }, { role: 'private', count: 9 }] } as unknown as Unit;
const man = (role: string, number: number, index: number): Figure => ({ id: { unit: 'Vey', role, number }, index, traits: { hair: 'brown' } }) as unknown as Figure;
const roster = { figures: [man('officer', 1, 0), man('private', 2, 1), man('private', 1, 2)] } as unknown as Roster;
const project = { units: [unit], rack: [{ name: 'red', left_ml: 3, colour: '#aa2222' }], finishes: [], note: '' } as unknown as Project;

test('a unit is shown by the first of its most numerous role', () => {
  expect(usualMan(unit, roster)?.index).toBe(2);
  expect(usualMan(unit)).toBeUndefined();
  expect(usualMan({ ...unit, figures: [] }, roster)).toBeUndefined();
});

test('he is drawn anew when his looks may have changed, and not for anything else', () => {
  const him = man('private', 1, 2);
  const look = lookOf(project, unit, him);
  const rack = (more: object): Project => ({ ...project, rack: [{ ...project.rack[0]!, ...more }] });
  expect(lookOf(rack({ left_ml: 1 }), unit, him)).toBe(look);
  expect(lookOf({ ...project, note: 'rain' }, { ...unit, ready_by: '2027-02-01' }, him)).toBe(look);
  expect(lookOf(rack({ colour: '#bb2222' }), unit, him)).not.toBe(look);
  expect(lookOf(project, { ...unit, scheme: { coat: 'blue' } }, him)).not.toBe(look);
  expect(lookOf(project, unit, { ...him, traits: { hair: 'red' } })).not.toBe(look);
});
