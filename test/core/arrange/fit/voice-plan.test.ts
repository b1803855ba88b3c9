import { describe, expect, test } from 'vitest';
import { type HeardNotes, heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { heardValue } from '../../../../src/core/arrange/fit/heard-value.ts';
import { LEFT_OUT, OWN_END } from '../../../../src/core/arrange/fit/played-notes.ts';
import { type VoicePlanOptions, voicePlan } from '../../../../src/core/arrange/fit/voice-plan.ts';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import { seeded } from '../../../support/seeded.ts';
import { columnsOfText } from './rows-as-text.ts';

/** Decay so slow that a second of sound counts like a second. */
const SLOW = 1e6;
const END_MICROS = 9_000_000;
const ONE_VOICE: VoicePlanOptions = { voices: 1, tailMicros: 0, each: undefined };

const weightsOf = (notes: HeardNotes, weight: readonly number[], decay = SLOW) => ({
  weight: Float64Array.from({ length: notes.count }, (_, note) => weight[note] ?? 1),
  decay: new Float64Array(notes.count).fill(decay),
  role: new Uint8Array(notes.count),
});

function plan(lines: readonly string[], weight: readonly number[], options: Partial<VoicePlanOptions> = {}) {
  const columns = columnsOfText(...lines);
  const notes = heardNotes(columns, []);
  const ends = voicePlan(columns, END_MICROS, notes, weightsOf(notes, weight), { ...ONE_VOICE, ...options });
  return Array.from(ends, (end) => (end === OWN_END ? 'own' : end === LEFT_OUT ? 'out' : end));
}

const note = (key: string, on: number, off: number) => [`${on} 90 ${key} 40`, `${off} 80 ${key} 40`];

describe('a plan for too few voices', () => {
  // Rows: 0 C on, 1 E on, 2 E off, 3 C off.
  const inside = [...note('3C', 0, 4000), ...note('40', 1000, 2000)];

  test('leaves all as it is while there are enough', () => {
    expect(plan(inside, [1, 1], { voices: 2 })).toEqual(['own', 'own']);
    expect(plan([...note('3C', 0, 1000), ...note('40', 1000, 2000)], [1, 1])).toEqual(['own', 'own']);
    expect(plan([], [])).toEqual([]);
  });

  test('ends a held note where another needs its voice, or leaves the other out, whichever loses less', () => {
    // Three seconds of the first against 1.15 of the second (being struck counts like 0.15 s).
    expect(plan(inside, [1, 2.6])).toEqual(['own', 'out']);
    expect(plan(inside, [1, 2.62])).toEqual([1, 'own']);
  });

  test('it ends with the very strike that needs it, whatever else stands at its moment', () => {
    const beside = [...note('3C', 0, 4000), '1000 B0 01 00', ...note('40', 1000, 2000)];
    expect(plan(beside, [1, 9])).toEqual([2, 'own']);
  });

  test('of two struck together one is left out', () => {
    const both = [...note('3C', 0, 1000), ...note('40', 0, 2000)];
    expect(plan(both, [1, 1])).toEqual(['out', 'own']);
    expect(plan(both, [2, 1])).toEqual(['own', 'out']);
  });

  test('a note cut sooner than a twentieth of a second was hardly struck', () => {
    const cut = [...note('3C', 0, 1000), ...note('40', 25, 2000)];
    // Cut after 25 ms it has half its strike: 0.1 s; the rest of it is worth 1.05, the other 2.125.
    expect(plan(cut, [1, 0.49])).toEqual(['own', 'out']);
    expect(plan(cut, [1, 0.5])).toEqual([1, 'own']);
  });

  test('what lasts to the end of the song counts so long', () => {
    // 8 s of the first would be lost, 8.15 s of the second stand against them.
    const held = ['0 90 3C 40', '1000 90 40 40'];
    expect(plan(held, [1, 0.98])).toEqual(['own', 'out']);
    expect(plan(held, [1, 0.99])).toEqual([1, 'own']);
  });

  test('a note takes as many voices as it does', () => {
    const each = Uint8Array.of(2, 1);
    expect(plan(inside, [1, 1], { voices: 3, each })).toEqual(['own', 'own']);
    expect(plan(inside, [1, 1], { voices: 2, each })).toEqual(['own', 'out']);
    // One half of it would have room: the half that ends first decides.
    expect(plan(inside, [1, 9], { voices: 2, each })).toEqual([1, 'own']);
    expect(plan([...note('3C', 0, 1000), ...note('40', 0, 1000)], [1, 9], { voices: 2, each })).toEqual([
      'out',
      'own',
    ]);
    // Both halves together are worth what the note is: 4.15 s of weight 1 against 1.15 of 3.6 and of 3.61.
    const atOnce = [...note('3C', 0, 4000), ...note('40', 0, 1000)];
    expect(plan(atOnce, [1, 3.6], { voices: 2, each: Uint8Array.of(2, 2) })).toEqual(['own', 'out']);
    expect(plan(atOnce, [1, 3.61], { voices: 2, each: Uint8Array.of(2, 2) })).toEqual(['out', 'own']);
  });

  test('what is not heard takes no voice', () => {
    const unheard = (...ends: number[]) => ({ unheard: Uint32Array.from(ends) });
    expect(plan(inside, [1, 1], unheard(LEFT_OUT, OWN_END))).toEqual(['own', 'own']);
    expect(plan(inside, [1, 1], unheard(OWN_END, OWN_END))).toEqual(['own', 'out']);
    // Beside two that are heard and contend for the voice.
    const three = [...note('30', 0, 4000), ...inside];
    expect(plan(three, [5, 1, 9], unheard(LEFT_OUT, OWN_END, OWN_END))).toEqual(['own', 2, 'own']);
    expect(plan(three, [5, 1, 1], unheard(LEFT_OUT, OWN_END, OWN_END))).toEqual(['own', 'own', 'out']);
  });
});

describe('with tails that cannot be cut', () => {
  // Rows: 0 C on, 1 a controller, 2 and 3 two more, 4 E on, 5 E off, 6 C off.
  const marks = ['400 B0 01 00', '700 B0 01 01', '700 B0 01 02'];
  const inside = [...note('3C', 0, 4000), ...marks, ...note('40', 1000, 2000)];
  const tail = (millis: number, ...weight: number[]) => plan(inside, weight, { tailMicros: millis * 1000 });

  test('a note ends so long before the moment that needs its voice, with the first row of a moment', () => {
    expect(tail(300, 1, 9)).toEqual([2, 'own']);
    expect(tail(301, 1, 9)).toEqual([1, 'own']);
    // A microsecond is a tail as well.
    expect(tail(0.001, 1, 9)).toEqual([2, 'own']);
    expect(tail(600, 1, 9)).toEqual([1, 'own']);
  });

  test('or is left out, where nothing of it would be left', () => {
    expect(tail(601, 1, 9)).toEqual(['out', 'own']);
    expect(tail(1000, 1, 9)).toEqual(['out', 'own']);
    expect(tail(1001, 1, 9)).toEqual(['out', 'own']);
  });

  test('what is cut so soon is worth so little: 0.55 of 4.15 s are kept', () => {
    // 3.6 s of the first against 1.15 of the second.
    expect(tail(600, 1, 3.13)).toEqual(['own', 'out']);
    expect(tail(600, 1, 3.14)).toEqual([1, 'own']);
  });

  test('one that ended by itself holds its voice for so long, to the moment at which it is over', () => {
    const behind = [...note('3C', 0, 1000), ...note('40', 1300, 2000)];
    expect(plan(behind, [1, 1], { tailMicros: 300_000 })).toEqual(['own', 'own']);
    expect(plan(behind, [9, 1], { tailMicros: 301_000 })).toEqual(['own', 'out']);
    expect(plan(behind, [1, 9], { tailMicros: 301_000 })).toEqual(['out', 'own']);
  });

  test('struck again a key takes its own voice over, another key or a let-go key does not', () => {
    const again = ['0 90 3C 40', '1000 90 3C 40', '2000 80 3C 40'];
    expect(plan(again, [1, 1], { tailMicros: 300_000 })).toEqual(['own', 'own']);
    const letGo = ['0 90 3C 40', '900 90 3C 00', '1000 90 3C 40', '2000 80 3C 40'];
    expect(plan(letGo, [9, 1], { tailMicros: 300_000 })).toEqual(['own', 'out']);
    // A mode message ends it: nothing takes over.
    const ended = ['0 90 3C 40', '900 B0 78 3C', '1000 90 3D 40', '2000 80 3D 40'];
    expect(plan(ended, [9, 1], { tailMicros: 300_000 })).toEqual(['own', 'out']);
    // Nor does the end of a drum that ends with a strike of another key.
    const columns = columnsOfText('0 90 3C 40', '600 90 3D 40', '700 80 3D 40');
    const notes = heardNotes(columns, [0]);
    const options = { ...ONE_VOICE, tailMicros: 300_000 };
    const ends = voicePlan(columns, END_MICROS, notes, weightsOf(notes, [9, 1]), options);
    expect([...ends]).toEqual([OWN_END, LEFT_OUT]);
  });
});

/** All that may be done with each note, tried out: the most that can be heard of a song with so many voices. */
function mostHeard(
  columns: TimelineColumns,
  notes: HeardNotes,
  weight: Float64Array,
  decay: number,
  { voices, tailMicros }: VoicePlanOptions,
) {
  const { micros, tick, status, data1, data2, count } = columns;
  const at = (row: number) => (row < count ? micros[row]! : END_MICROS);
  const strikes = [...notes.onRow];
  const moments = strikes.filter((row, n) => n === 0 || tick[strikes[n - 1]!] !== tick[row]);
  const momentOf = (note: number) => moments.findLastIndex((row) => row <= strikes[note]!);
  const worthOf = (note: number, end: number) => {
    const [on, own] = [micros[strikes[note]!]!, at(notes.endRow[note]!)];
    if (end === LEFT_OUT) return 0;
    const whole = (own - on) / 1e6;
    const heard = end === OWN_END ? whole : Math.min(whole, (micros[end]! - on) / 1e6);
    return weight[note]! * heardValue(heard, whole, decay);
  };
  /** Moments at which a voice is taken. */
  const takes = (note: number, end: number): number[] => {
    if (end === LEFT_OUT) return [];
    const row = end === OWN_END ? notes.endRow[note]! : end;
    const isStruckAgain =
      row < count &&
      row === notes.endRow[note] &&
      (status[row]! & 0xf0) === 0x90 &&
      data2[row]! > 0 &&
      data1[row] === notes.key[note];
    const until = at(row) + (isStruckAgain ? 0 : tailMicros);
    return moments.flatMap((first, moment) => {
      if (moment < momentOf(note)) return [];
      return moment === momentOf(note) || first < row || (tailMicros > 0 && micros[first]! < until)
        ? [moment]
        : [];
    });
  };
  const used = new Uint8Array(moments.length);
  const isRoom = () => used.every((one) => one <= voices);
  const choicesOf = (note: number) => {
    const on = strikes[note]!;
    const rows = Array.from({ length: count }, (_, row) => row).filter(
      (row) => row < notes.endRow[note]! && micros[row]! > micros[on]! && micros[row - 1]! < micros[row]!,
    );
    return [LEFT_OUT, OWN_END, ...rows].map((end) => ({
      value: worthOf(note, end),
      takes: takes(note, end),
    }));
  };
  const choices = strikes.map((_, note) => choicesOf(note));
  const best = (note: number): number => {
    if (note === strikes.length) return 0;
    let most = Number.NEGATIVE_INFINITY;
    for (const choice of choices[note]!) {
      for (const moment of choice.takes) used[moment]! += 1;
      if (isRoom()) most = Math.max(most, choice.value + best(note + 1));
      for (const moment of choice.takes) used[moment]! -= 1;
    }
    return most;
  };
  return {
    most: best(0),
    heard: (ends: Uint32Array) => ends.reduce((sum, end, note) => sum + worthOf(note, end), 0),
    isKept: (ends: Uint32Array) => {
      for (const [note, end] of ends.entries()) for (const moment of takes(note, end)) used[moment]! += 1;
      const kept = isRoom();
      used.fill(0);
      return kept;
    },
  };
}

test.each([0, 2_000_000])(
  'no other choice of ends lets more be heard, with a tail of %i µs',
  (tailMicros) => {
    const chance = seeded(tailMicros + 3);
    const below = (limit: number) => Math.floor(chance() * limit);
    for (let round = 0; round < 60; round += 1) {
      const lines = Array.from({ length: 2 + below(4) }, () => {
        const [on, key] = [below(6) * 1000, hexKey(60 + below(4))];
        return note(key, on, on + below(6) * 1000);
      }).flat();
      const columns = columnsOfText(...lines);
      const notes = heardNotes(columns, []);
      const weights = weightsOf(
        notes,
        Array.from({ length: notes.count }, () => 1 + below(8)),
        3,
      );
      const options = { voices: 1 + below(2), tailMicros, each: undefined };
      const ends = voicePlan(columns, END_MICROS, notes, weights, options);
      const { most, heard, isKept } = mostHeard(columns, notes, weights.weight, 3, options);
      expect(isKept(ends), `round ${round}`).toBe(true);
      expect(heard(ends), `round ${round}: ${lines.join(', ')}`).toBeCloseTo(most, 9);
    }
  },
);

const hexKey = (key: number) => key.toString(16).toUpperCase();
