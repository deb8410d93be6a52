// What a person sets for this browser: light or dark, metric or imperial.

export type Theme = 'system' | 'light' | 'dark';
export type System = 'metric' | 'imperial';

function read<T extends string>(key: string, allowed: readonly T[], otherwise: T): T {
  try {
    const value = localStorage.getItem(key) as T | null;
    return value !== null && allowed.includes(value) ? value : otherwise;
  } catch {
    return otherwise;
  }
}

function write(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // Kept for this visit only.
  }
}

class Settings {
  #theme = $state<Theme>(read('facings.theme', ['system', 'light', 'dark'], 'system'));
  #system = $state<System>(read('facings.measures', ['metric', 'imperial'], 'metric'));

  get theme(): Theme {
    return this.#theme;
  }
  set theme(theme: Theme) {
    this.#theme = theme;
    write('facings.theme', theme);
    if (theme === 'system') delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = theme;
  }

  get system(): System {
    return this.#system;
  }
  set system(system: System) {
    this.#system = system;
    write('facings.measures', system);
  }
}

export const settings = new Settings();
