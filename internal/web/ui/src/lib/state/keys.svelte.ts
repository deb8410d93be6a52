// Keys that do something, gathered for the help sheet.

export interface Key {
  /** As typed: "?", "s", "g m" (one after the other), "mod+z" (Ctrl or Cmd), "arrowleft". */
  keys: string;
  does: string;
  run: (event: KeyboardEvent) => void;
  /** Also while a text is being typed. */
  typing?: boolean;
}

/** A key as event: "mod+shift+z", "arrowleft", "?". */
export function keyOf(event: KeyboardEvent): string {
  const mod = event.ctrlKey || event.metaKey;
  const name = event.key.toLowerCase();
  const shift = event.shiftKey && (mod || name.length > 1);
  return `${mod ? 'mod+' : ''}${event.altKey ? 'alt+' : ''}${shift ? 'shift+' : ''}${name === ' ' ? 'space' : name}`;
}

/** Whether a text is being typed into what has the focus. */
export function typing(target: EventTarget | null): boolean {
  const element = target as HTMLElement | null;
  if (!element?.tagName) return false;
  if (element.isContentEditable || element.tagName === 'TEXTAREA' || element.tagName === 'SELECT') return true;
  if (element.tagName !== 'INPUT') return false;
  return !['checkbox', 'radio', 'button', 'range', 'color', 'file'].includes((element as HTMLInputElement).type);
}

const sequenceTime = 1200; // ms for the second key

class Keys {
  everywhere = $state.raw<Key[]>([]);
  here = $state.raw<Key[]>([]);
  #first = '';
  #at = 0;

  /** A page's keys, until called back; use in an $effect. */
  onPage(keys: Key[]): () => void {
    this.here = keys;
    return () => {
      if (this.here === keys) this.here = [];
    };
  }

  handle(event: KeyboardEvent): void {
    if (event.defaultPrevented || event.isComposing) return;
    const busy = typing(event.target) || document.querySelector('dialog[open]') !== null;
    const key = keyOf(event);
    const now = event.timeStamp;
    const pair = this.#first && now - this.#at < sequenceTime ? `${this.#first} ${key}` : '';
    const all = [...this.here, ...this.everywhere].filter((k) => !busy || k.typing);
    const found = all.find((k) => k.keys === pair) ?? all.find((k) => k.keys === key);
    this.#first = busy ? '' : key;
    this.#at = now;
    if (!found) return;
    this.#first = '';
    event.preventDefault();
    found.run(event);
  }
}

export const keys = new Keys();
