// Short messages, read out by screen readers as they come.

export interface Toast {
  id: number;
  text: string;
  kind: 'said' | 'fault';
  action?: { label: string; run: () => void } | undefined;
}

class Toasts {
  list = $state<Toast[]>([]);
  #next = 1;

  /** Says something for a few seconds; with an action ("Undo") twice as long.
      A fault stays until it is dismissed. */
  say(text: string, options: { kind?: Toast['kind']; action?: Toast['action'] } = {}): void {
    const id = this.#next++;
    const kind = options.kind ?? 'said';
    this.list = [...this.list.slice(-2), { id, text, kind, action: options.action }];
    if (kind === 'said') setTimeout(() => this.close(id), options.action ? 10_000 : 5_000);
  }

  close(id: number): void {
    this.list = this.list.filter((toast) => toast.id !== id);
  }
}

export const toasts = new Toasts();
