import { expect, test } from 'vitest';
import { href, readRoute } from './router.svelte.ts';

test('an address is read back as it was written', () => {
  const to = href('k3', 'muster', ['mesh', 'Vey & Sons/1.stl'], { figure: '3' });
  const [path, search] = to.split('?');
  const route = readRoute(path!, '?' + search);
  expect(route).toMatchObject({ project: 'k3', page: 'muster', rest: ['mesh', 'Vey & Sons/1.stl'] });
  expect(route.query.get('figure')).toBe('3');
});

test('a project without a page opens its muster; anything else is unknown', () => {
  expect(readRoute('/p/k3').page).toBe('muster');
  expect(readRoute('/').page).toBe('projects');
  expect(readRoute('/p/k3/kitchen').page).toBe('unknown');
  expect(readRoute('/p/k3/history').page).toBe('history');
  expect(readRoute('/new').page).toBe('new');
  expect(readRoute('/elsewhere').page).toBe('unknown');
  expect(readRoute('/p/%E0%A4%A').project).toBe('%E0%A4%A');
});
