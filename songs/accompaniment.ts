import type { BarGrid } from './bar-grid.ts';
import { type Chord, chordsByBar, nearest, transposed, voiceLead } from './harmony.ts';
import { LEVELS, type LevelName } from './notation.ts';
import type { Part } from './part.ts';

/** Chords laid out in time. The chords of one bar share it evenly. */
export interface Harmony {
  readonly start: number;
  readonly barTicks: number;
  readonly bars: number;
  readonly segments: readonly { readonly tick: number; readonly ticks: number; readonly chord: Chord }[];
}

/** @param text chords by bar, as `chordsByBar` reads them */
export function harmonyAt(grid: BarGrid, firstBar: number, text: string, semitones = 0): Harmony {
  const start = grid.at(firstBar);
  const barTicks = grid.barTicksAt(start);
  const byBar = chordsByBar(text);
  const segments = byBar.flatMap((chords, bar) =>
    chords.map((chord, index) => {
      const ticks = barTicks / chords.length;
      return { tick: start + bar * barTicks + index * ticks, ticks, chord: transposed(chord, semitones) };
    }),
  );
  return { start, barTicks, bars: byBar.length, segments };
}

/** Where voices lie. */
export interface Register {
  readonly voices: number;
  readonly low: number;
  readonly high: number;
  readonly level?: LevelName;
}

/** Every chord held to the next; a voice that stays on its key is not struck again. */
export function sustain(part: Part, harmony: Harmony, { voices, low, high, level = 'mp' }: Register): void {
  const keys = voicings(harmony, voices, low, high);
  const { segments } = harmony;
  for (const [index, { tick }] of segments.entries()) {
    for (const key of keys[index]!) {
      if (keys[index - 1]?.includes(key)) continue;
      let last = index;
      while (keys[last + 1]?.includes(key)) last += 1;
      const end = segments[last]!.tick + segments[last]!.ticks;
      part.note(tick, key, end - tick - 12, LEVELS[level]);
    }
  }
}

/**
 * Chords in a rhythm: a sign for each equal step of the bar; `x` struck and left ringing until the next sign
 * that is not `-`, `X` louder, `.` damped.
 */
export function comp(part: Part, harmony: Harmony, rhythm: string, register: Register): void {
  const keys = voicings(harmony, register.voices, register.low, register.high);
  for (const { tick, ticks, sign } of steps(harmony, rhythm)) {
    const level = LEVELS[register.level ?? 'mp'] + (sign === 'X' ? 12 : 0);
    for (const key of keys[segmentAt(harmony, tick)]!) part.note(tick, key, ticks * 0.9, level);
  }
}

/** One voice after another: a digit for each step of the bar, 1 the lowest voice; `-` lets the last one ring. */
export function arpeggiate(part: Part, harmony: Harmony, order: string, register: Register): void {
  const keys = voicings(harmony, register.voices, register.low, register.high);
  for (const { tick, ticks, sign } of steps(harmony, order)) {
    const key = keys[segmentAt(harmony, tick)]![Number(sign) - 1]!;
    part.note(tick, key, ticks * 0.92, LEVELS[register.level ?? 'mp']);
  }
}

/**
 * A bass in a rhythm: `R` the chord's bass note, `5` the fifth and `8` the octave above it, `L` a half step
 * below the next chord's bass, or above it where there is no room below.
 */
export function bassLine(
  part: Part,
  harmony: Harmony,
  rhythm: string,
  { low, level = 'mf' }: Omit<Register, 'voices' | 'high'>,
): void {
  const { segments } = harmony;
  for (const { tick, ticks, sign } of steps(harmony, rhythm)) {
    const index = segmentAt(harmony, tick);
    const root = low + ((segments[index]!.chord.bass - low + 120) % 12);
    const following = segments[index + 1]?.chord.bass ?? segments[index]!.chord.bass;
    const intervals: Readonly<Record<string, number>> = {
      R: root,
      '5': root + 7,
      '8': root + 12,
      L: leadingTo(nearest(following, root), low),
    };
    part.note(tick, intervals[sign]!, ticks * 0.92, LEVELS[level] + (sign === 'R' ? 4 : 0));
  }
}

function leadingTo(key: number, low: number): number {
  return key - 1 >= low - 3 ? key - 1 : key + 1;
}

/** Struck steps of all bars; each lasts until the next sign other than `-`. */
function* steps({ start, barTicks, bars }: Harmony, rhythm: string) {
  const signs = rhythm.replaceAll(/\s/g, '');
  const stepTicks = barTicks / signs.length;
  for (let bar = 0; bar < bars; bar += 1) {
    for (let step = 0; step < signs.length; step += 1) {
      const sign = signs[step]!;
      if (sign === '-' || sign === '.') continue;
      let next = step + 1;
      while (next < signs.length && signs[next] === '-') next += 1;
      yield { tick: start + bar * barTicks + step * stepTicks, ticks: (next - step) * stepTicks, sign };
    }
  }
}

function segmentAt({ segments }: Harmony, tick: number): number {
  return segments.findLastIndex((segment) => segment.tick <= tick);
}

function voicings({ segments }: Harmony, voices: number, low: number, high: number): number[][] {
  return voiceLead(
    segments.map(({ chord }) => chord),
    voices,
    low,
    high,
  );
}
