import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Plan } from '../src/lib/model.ts';
import { axe, fit, planned, sizes, start, type Started } from './harness.ts';

// Two boxes, one on the other, in mm: legs 8 × 6 × 14, and a wider coat on top.
function boxes(): string {
  const lines: string[] = [];
  let from = 1;
  for (const [x, y, low, high] of [
    [4, 3, 0, 14],
    [6, 4, 14, 28],
  ] as const) {
    for (const z of [low, high]) for (const [a, b] of [[-x, -y], [x, -y], [x, y], [-x, y]] as const) lines.push(`v ${a} ${z} ${-b}`); // Y up, as OBJ has it
    const v = (i: number): number => from + i;
    for (const [a, b, c, d] of [[3, 2, 1, 0], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]] as const)
      lines.push(`f ${v(a)} ${v(b)} ${v(c)}`, `f ${v(a)} ${v(c)} ${v(d)}`);
    from += 8;
  }
  return lines.join('\n');
}

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start();
  id = await s.project('starter');
  await s.ask(`/api/projects/${id}/files?name=boxes.obj`, {
    method: 'POST',
    headers: { 'if-match': '"r1"', 'content-type': 'application/octet-stream' },
    body: boxes(),
  });
  const { revision } = await s.ask<{ revision: number }>(`/api/projects/${id}`);
  await s.ask(`/api/projects/${id}?why=mesh`, {
    method: 'PATCH',
    headers: { 'if-match': `"r${revision}"`, 'content-type': 'application/json-patch+json' },
    body: JSON.stringify([{ op: 'add', path: '/castings', value: [{ name: 'boxes', like: 'foot', mesh: 'boxes.obj' }] }]),
  });
});
afterAll(async () => {
  await s.stop();
});

async function open(options: Parameters<Started['open']>[1] = {}): Promise<Page> {
  const page = await s.open(`/p/${id}/muster/mesh/boxes.obj`, options);
  await page.waitForFunction(() => document.querySelector('.stage') && !document.querySelector('.stage .state'), null, { timeout: 60_000 });
  await page.getByRole('radio', { name: /^jacket/ }).first().waitFor();
  return page;
}
const areas = async (): Promise<Record<string, number>> => {
  const l = await s.ask<{ areas: { area: string; area_mm2: number }[] }>(`/api/projects/${id}/meshes/boxes.obj/labels`);
  return Object.fromEntries(l.areas.map((a) => [a.area, a.area_mm2]));
};

test.each(sizes)('the mesh page is fit at %o', async (size) => {
  const page = await open({ size });
  await page.locator('summary').click();
  await page.getByText(/8 faces|24 faces/).waitFor();
  await fit(page, 'mesh', false);
});

test('a click fills a side of the box, the brush a face, and undo takes strokes back', async () => {
  const page = await open();
  await page.getByRole('button', { name: 'Front', exact: true }).click();
  await page.getByRole('radio', { name: /^jacket/ }).first().check();
  await page.locator('.stage canvas').scrollIntoViewIfNeeded();
  const box = (await page.locator('.stage canvas').boundingBox())!;
  await page.mouse.click(box.x + box.width / 2, box.y + box.height * 0.35);
  await page.getByText('2 faces now jacket').waitFor();
  // The front of the upper box is 12 × 14 mm.
  expect((await areas()).jacket).toBeCloseTo(168, 3);

  await page.getByRole('radio', { name: 'Brush' }).check({ force: true });
  await page.getByRole('radio', { name: /^breeches/ }).first().check();
  const at = (await page.locator('.stage canvas').boundingBox())!;
  await page.mouse.move(at.x + at.width / 2, at.y + at.height * 0.68);
  await page.mouse.down();
  await page.mouse.move(at.x + at.width / 2 + 4, at.y + at.height * 0.7);
  await page.mouse.up();
  await page.getByText(/faces? now breeches/).waitFor();
  expect((await areas()).breeches).toBeGreaterThan(50);
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await areas()).breeches).toBeUndefined();
  expect((await areas()).jacket).toBeCloseTo(168, 3);
});

test('Enter labels what is in the middle of the figure', async () => {
  const page = await open();
  await page.getByRole('radio', { name: /^hat/ }).first().check();
  await page.locator('.stage').focus();
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('Enter');
  await page.getByText(/faces now hat/).waitFor();
});

// The built-in foot soldier as a mesh of one's own without labels: its triangles as
// binary STL (mm, Z up), and how large each area is, in mm².
async function soldier(own: string): Promise<{ stl: Buffer; areas: Record<string, number> }> {
  await planned(s, own);
  const { roster } = await s.ask<Plan>(`/api/projects/${own}/plan`);
  const { index } = roster!.figures.find((f) => f.id.role === 'private')!;
  const glb = Buffer.from(await (await fetch(`${s.url}/api/projects/${own}/figures/${index}/model.glb`)).arrayBuffer());
  const json = glb.readUInt32LE(12);
  const doc = JSON.parse(glb.toString('utf8', 20, 20 + json)) as {
    accessors: { bufferView: number; byteOffset?: number; componentType: number; count: number }[];
    bufferViews: { byteOffset?: number }[];
    materials: { name: string }[];
    meshes: { primitives: { attributes: { POSITION: number }; indices: number; material: number }[] }[];
  };
  const at = (accessor: number): number => 28 + json + (doc.bufferViews[doc.accessors[accessor]!.bufferView]!.byteOffset ?? 0) + (doc.accessors[accessor]!.byteOffset ?? 0);
  const areas: Record<string, number> = {};
  const faces: number[][][] = [];
  for (const { attributes, indices, material } of doc.meshes.flatMap((m) => m.primitives)) {
    const { count, componentType } = doc.accessors[indices]!;
    const corner = (i: number): number[] => {
      const v = componentType === 5125 ? glb.readUInt32LE(at(indices) + 4 * i) : glb.readUInt16LE(at(indices) + 2 * i);
      const [x, y, z] = [0, 4, 8].map((o) => 1000 * glb.readFloatLE(at(attributes.POSITION) + 12 * v + o));
      return [x!, -z!, y!];
    };
    for (let i = 0; i < count; i += 3) {
      const [a, b, c] = [corner(i), corner(i + 1), corner(i + 2)] as const;
      faces.push([a, b, c]);
      const [u, v] = [b, c].map((p) => p.map((x, k) => x - a[k]!)) as [number[], number[]];
      const name = doc.materials[material]!.name;
      areas[name] = (areas[name] ?? 0) + Math.hypot(u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!) / 2;
    }
  }
  const stl = Buffer.alloc(84 + 50 * faces.length);
  stl.writeUInt32LE(faces.length, 80);
  faces.forEach((f, i) => f.flat().forEach((x, k) => stl.writeFloatLE(x, 84 + 50 * i + 12 + 4 * k)));
  return { stl, areas };
}

test('labels are copied from a built-in body onto the same figure, and are where they were', async () => {
  const own = await s.project();
  const { stl, areas: wanted } = await soldier(own);
  const page = await s.open(`/p/${own}/muster/casting/${encodeURIComponent('Hathmere fusilier')}`);
  await page.locator('input[type=file]').setInputFiles({ name: 'soldier.stl', mimeType: 'model/stl', buffer: stl });
  await page.waitForURL(/muster\/mesh\/soldier\.stl$/, { timeout: 60_000 });
  await page.getByText('0 % of the surface').waitFor({ timeout: 60_000 });
  await page.getByRole('combobox', { name: 'Body' }).selectOption('foot');
  await page.getByRole('button', { name: 'Copy its labels' }).click();
  await page.getByText('The whole surface is labelled.').waitFor({ timeout: 120_000 });
  const got = await s.ask<{ areas: { area: string; area_mm2: number }[] }>(`/api/projects/${own}/meshes/soldier.stl/labels`);
  for (const name of ['face', 'jacket', 'breeches']) {
    const mm2 = got.areas.find((a) => a.area === name)?.area_mm2 ?? 0;
    expect([name, Math.abs(mm2 / wanted[name]! - 1) < 0.2]).toEqual([name, true]);
  }
  await fit(page, 'mesh-like', false);
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await page.getByText('0 % of the surface').waitFor({ timeout: 60_000 });
}, 300_000);

test('a mesh that is not there says where one comes from', async () => {
  const page = await s.open(`/p/${id}/muster/mesh/none.stl`);
  await page.getByText('There is no mesh of that name').waitFor();
  expect(await axe(page)).toEqual([]);
});
