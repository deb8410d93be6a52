// Each page is loaded when it is first looked at.
import type { Component } from 'svelte';
import type { PageName } from './router.svelte.ts';
import type { ProjectState } from './state/project.svelte.ts';

/** What every page of a project is given. */
export interface PageProps {
  project: ProjectState;
  /** What follows the page's name in the address. */
  rest: string[];
  query: URLSearchParams;
}

export type Page = Component<PageProps>;

export const load: Record<PageName, () => Promise<{ default: Page }>> = {
  muster: () => import('../pages/Muster/Muster.svelte'),
  scheme: () => import('../pages/Scheme/Scheme.svelte'),
  rack: () => import('../pages/Rack/Rack.svelte'),
  ranks: () => import('../pages/Ranks/Ranks.svelte'),
  order: () => import('../pages/Order/Order.svelte'),
  bench: () => import('../pages/Bench/Bench.svelte'),
  sheets: () => import('../pages/Sheets/Sheets.svelte'),
  file: () => import('./shell/ProjectFile.svelte'),
  history: () => import('./shell/History.svelte'),
};
