import { expect, test } from 'vitest';
import { WaitingShelf, type Waiting } from './waiting.ts';

class Memory {
  map = new Map<string, string>();
  full = false;
  get length(): number {
    return this.map.size;
  }
  key(i: number): string | null {
    return [...this.map.keys()][i] ?? null;
  }
  getItem(key: string): string | null {
    return this.map.get(key) ?? null;
  }
  setItem(key: string, value: string): void {
    if (this.full) throw new Error('QuotaExceededError');
    this.map.set(key, value);
  }
  removeItem(key: string): void {
    this.map.delete(key);
  }
}
const edit = (revision: number, why: string): Waiting => ({ revision, edits: [{ why, patch: [] }] });

test('the next window takes up what a closed one left, once', async () => {
  const memory = new Memory();
  new WaitingShelf('k1', 'a', memory, async () => true).put(edit(7, 'later'));
  new WaitingShelf('k1', 'b', memory, async () => true).put(edit(3, 'earlier'));
  new WaitingShelf('k2', 'b', memory, async () => true).put(edit(1, 'another project'));
  const next = new WaitingShelf('k1', 'c', memory, async () => false);
  expect((await next.take()).map((w) => w.edits[0]!.why)).toEqual(['earlier', 'later']);
  expect(await next.take()).toEqual([]);
  expect(memory.length).toBe(1);
});

test('what an open window is still sending is left to it', async () => {
  const memory = new Memory();
  new WaitingShelf('k1', 'a', memory, async () => true).put(edit(7, 'its own'));
  expect(await new WaitingShelf('k1', 'b', memory, async (w) => w === 'a').take()).toEqual([]);
  expect(memory.length).toBe(1);
});

test('a full or forbidden storage is said, never thrown; rubbish is no edit', async () => {
  const memory = new Memory();
  const shelf = new WaitingShelf('k1', 'a', memory, async () => false);
  memory.full = true;
  expect(shelf.put(edit(1, 'x'))).toBe(false);
  memory.full = false;
  memory.setItem('facings.waiting.k1.z', '{"edits":');
  expect(await shelf.take()).toEqual([]);
  expect(new WaitingShelf('k1', 'a', undefined, async () => false).put(edit(1, 'x'))).toBe(false);
});
