// Each answer feels different in the hand, so that no one has to look. What runs by the clock makes itself felt, heard or
// seen when a time is over.

const PATTERNS: Record<string, number[]> = {
  alone: [35], help: [20, 50, 20], not_yet: [90], no_response: [15], declined: [20, 40, 20, 40, 20], no_chance: [10], undo: [60, 60, 60], stop: [150], cover: [10, 30, 10],
};

const SIGNAL = 200; // ms
const PITCH = 660; // Hz
const VOLUME = 0.3; // of 1

/** What a person chose on the page about this phone. */
export interface Signals {
  /** It vibrates; unless chosen otherwise. */
  vibrate?: boolean;
  /** It sounds when a time is over; only if chosen. */
  sound?: boolean;
}

let chosen: Signals = {};
let audio: AudioContext | undefined;

/** Takes over what was chosen. */
export function setSignals(signals: Signals): void {
  chosen = signals;
}

const vibrates = (): boolean => chosen.vibrate !== false && "vibrate" in navigator;

export function buzz(kind: string): void {
  if (vibrates()) navigator.vibrate(PATTERNS[kind] ?? [20]);
}

/** Prepares the sound, if it is switched on: browsers allow it only once something was pressed. */
export function allowSound(): void {
  if (chosen.sound !== true || typeof AudioContext === "undefined") return;
  audio ??= new AudioContext();
  void audio.resume().catch(() => undefined);
}

/** A time is over: one vibration, one sound if it is switched on. Without vibration the page shows it for a moment. */
export function signal(page: HTMLElement): void {
  const felt = vibrates() && navigator.vibrate(SIGNAL);
  if (chosen.sound === true) beep();
  if (felt) return;
  page.classList.add("signal");
  window.setTimeout(() => page.classList.remove("signal"), SIGNAL);
}

function beep(): void {
  if (!audio) return;
  const [tone, volume] = [audio.createOscillator(), audio.createGain()];
  tone.frequency.value = PITCH;
  volume.gain.value = VOLUME;
  tone.connect(volume).connect(audio.destination);
  tone.start();
  tone.stop(audio.currentTime + SIGNAL / 1000);
}
