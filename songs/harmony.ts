/** Chord symbols and close voice leading: each voice goes to the nearest note of the next chord. */

const ROOTS: Readonly<Record<string, number>> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** Semitones above the root. */
const QUALITIES: Readonly<Record<string, readonly number[]>> = {
  '': [0, 4, 7],
  m: [0, 3, 7],
  '7': [0, 4, 7, 10],
  m7: [0, 3, 7, 10],
  maj7: [0, 4, 7, 11],
  '7sus': [0, 5, 7, 10],
  sus: [0, 5, 7],
  m6: [0, 3, 7, 9],
  m7b5: [0, 3, 6, 10],
};

export interface Chord {
  readonly symbol: string;
  /** Pitch class of the lowest note. */
  readonly bass: number;
  readonly root: number;
  /** Pitch classes, root first. */
  readonly tones: readonly number[];
}

/** `Bb/D`, `Gm7`, `F7sus` … */
export function chordOf(symbol: string): Chord {
  const parts = /^([A-G])([#b]?)([^/]*)(?:\/([A-G])([#b]?))?$/.exec(symbol);
  if (!parts) throw new Error(`no such chord: ${symbol}`);
  const [, letter = '', sign = '', quality = '', bassLetter, bassSign = ''] = parts;
  const intervals = QUALITIES[quality];
  if (!intervals) throw new Error(`no such chord: ${symbol}`);
  const root = pitchClass(letter, sign);
  const bass = bassLetter ? pitchClass(bassLetter, bassSign) : root;
  return { symbol, bass, root, tones: intervals.map((interval) => (root + interval) % 12) };
}

/** `'Gm | Eb | Cm7 F7'` → chords by bar. */
export function chordsByBar(text: string): Chord[][] {
  return text.split('|').map((bar) => bar.trim().split(/\s+/).map(chordOf));
}

export function transposed(chord: Chord, semitones: number): Chord {
  const up = (tone: number) => (tone + semitones + 120) % 12;
  return { ...chord, bass: up(chord.bass), root: up(chord.root), tones: chord.tones.map(up) };
}

/**
 * Keys for each chord in `voices` voices between `low` and `high`, lowest first, moving as little as may be.
 * With fewer voices than tones the fifth is left out first, then the root (the bass has it).
 */
export function voiceLead(chords: readonly Chord[], voices: number, low: number, high: number): number[][] {
  let last: readonly number[] | undefined;
  return chords.map((chord) => {
    const wanted = essential(chord, voices);
    const choices = voicings(wanted, voices, low, high);
    const centre = (low + high) / 2;
    const from = last ?? Array.from({ length: voices }, () => centre);
    const cost = (choice: readonly number[]) =>
      choice.reduce((sum, key, voice) => sum + Math.abs(key - from[voice]!), 0) +
      0.2 * Math.abs(choice.reduce((sum, key) => sum + key, 0) / voices - centre);
    const best = choices.reduce((a, b) => (cost(b) < cost(a) ? b : a));
    last = best;
    return best;
  });
}

/** The key of a pitch class nearest to `near`. */
export function nearest(tone: number, near: number): number {
  const below = near - ((near - tone + 1200) % 12);
  return near - below <= 6 ? below : below + 12;
}

function essential({ tones }: Chord, voices: number): readonly number[] {
  const [root = 0, third = 0, fifth = 0, seventh] = tones;
  if (voices >= tones.length) return tones;
  if (seventh === undefined) return voices === 2 ? [third, root] : tones;
  return voices === 2 ? [third, seventh] : [root, third, seventh, fifth].slice(0, voices);
}

/** All ways to set the tones between the borders, every tone at least once, no two voices on one key. */
function voicings(tones: readonly number[], voices: number, low: number, high: number): number[][] {
  const keys: number[] = [];
  for (let key = low; key <= high; key += 1) if (tones.includes(key % 12)) keys.push(key);
  const found: number[][] = [];
  const extend = (chosen: readonly number[], from: number): void => {
    if (chosen.length === voices) {
      const heard = new Set(chosen.map((key) => key % 12));
      const close = chosen.at(-1)! - chosen[0]! <= 16;
      if (close && heard.size === Math.min(voices, tones.length)) found.push([...chosen]);
      return;
    }
    for (let index = from; index < keys.length; index += 1) extend([...chosen, keys[index]!], index + 1);
  };
  extend([], 0);
  if (found.length === 0) throw new Error(`no room for ${tones.join(',')} between ${low} and ${high}`);
  return found;
}

function pitchClass(letter: string, sign: string): number {
  return (ROOTS[letter]! + (sign === '#' ? 1 : sign === 'b' ? 11 : 0)) % 12;
}
