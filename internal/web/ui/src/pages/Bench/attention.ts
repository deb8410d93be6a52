// What keeps a painter's attention where it belongs: the screen stays lit while
// the clock runs, and a timer that is over rings.

let lock: WakeLockSentinel | null = null;
let wanted = false;

/** Keeps the screen lit, where the browser allows it; false where it does not. */
export async function stayLit(yes: boolean): Promise<boolean> {
  wanted = yes;
  if (!('wakeLock' in navigator)) return false;
  try {
    if (!yes) {
      await lock?.release();
      lock = null;
    } else if (!lock || lock.released) {
      lock = await navigator.wakeLock.request('screen');
    }
    return true;
  } catch {
    return false; // low battery, or the page is hidden
  }
}

/** Lights the screen again when the page comes back; until called back. */
export function litAgain(): () => void {
  const back = (): void => {
    if (document.visibilityState === 'visible' && wanted) void stayLit(true);
  };
  document.addEventListener('visibilitychange', back);
  return () => {
    document.removeEventListener('visibilitychange', back);
    void stayLit(false);
  };
}

let audio: AudioContext | null = null;

/** Makes ready to ring; browsers want this from within a touch. */
export function armBell(): void {
  try {
    audio ??= new AudioContext();
    void audio.resume();
  } catch {
    // No sound here; the screen tells it too.
  }
}

/** Three strokes of a small bell, and a shake where there is one. */
export function ring(): void {
  navigator.vibrate?.([200, 100, 200]);
  if (!audio || audio.state !== 'running') return;
  for (const at of [0, 0.45, 0.9]) {
    const start = audio.currentTime + at;
    for (const [hertz, loud] of [
      [880, 0.2],
      [2217, 0.06],
    ] as const) {
      const tone = audio.createOscillator();
      const level = audio.createGain();
      tone.frequency.value = hertz;
      level.gain.setValueAtTime(loud, start);
      level.gain.exponentialRampToValueAtTime(0.001, start + 0.4);
      tone.connect(level).connect(audio.destination);
      tone.start(start);
      tone.stop(start + 0.4);
    }
  }
}
