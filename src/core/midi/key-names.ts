/** ASCII signs: the musical ones take one cell in some terminals and two in others. */
const PITCHES = ['C', 'C#', 'D', 'D#', 'E', 'F', 'F#', 'G', 'G#', 'A', 'A#', 'B'] as const;

/** [128] names of the keys: middle C is key 60 (MIDI 1.0, p. 10) and is called C4, as in SMF 1.1, Appendix 2. */
export const KEY_NAMES: readonly string[] = Array.from(
  { length: 128 },
  (_, key) => `${PITCHES[key % 12]}${Math.floor(key / 12) - 1}`,
);

/** 60 → `C4`, 61 → `C#4`, 0 → `C-1`. */
export function keyName(key: number): string {
  return KEY_NAMES[key] ?? `key ${key}`;
}

/** Key signatures by number of sharps, −7 to 7 (SMF 1.1, section 3.1, meta 59). */
const MAJOR = ['Cb', 'Gb', 'Db', 'Ab', 'Eb', 'Bb', 'F', 'C', 'G', 'D', 'A', 'E', 'B', 'F#', 'C#'] as const;
const MINOR = ['Ab', 'Eb', 'Bb', 'F', 'C', 'G', 'D', 'A', 'E', 'B', 'F#', 'C#', 'G#', 'D#', 'A#'] as const;

/** (−3, false) → `Eb major`. */
export function keySignatureName(sharps: number, minor: boolean): string {
  const tonic = (minor ? MINOR : MAJOR)[sharps + 7];
  return tonic === undefined ? `key signature ${sharps}` : `${tonic} ${minor ? 'minor' : 'major'}`;
}
