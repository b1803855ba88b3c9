import { describe, expect, test } from 'vitest';
import type { MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { NO_SYSEX_COMPARED, type SysExDifference } from '../../../src/core/compare/sysex-differences.ts';
import { NO_SYSEX, sysExDocument } from '../../../src/core/compare/sysex-document.ts';
import type { WrittenSysEx } from '../../../src/core/compare/written-sysex.ts';
import { classifySysEx } from '../../../src/core/midi/universal-sysex.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';

/** Bars of four beats of 96 ticks. */
const TIMELINE = {
  meterMap: {
    barBeatAt: (tick: number) => ({ bar: 1 + Math.floor(tick / 384), beat: 1 + (Math.floor(tick / 96) % 4) }),
  },
} as unknown as Timeline;

/** Master volume as MIDI 1.0, Table VIIa, has it. */
const volume = (value: number) => [0x7f, 0x7f, 0x04, 0x01, 0x00, value];

const written = (bytes: readonly number[]): WrittenSysEx =>
  ({
    tick: 500,
    micros: 2_500_000,
    bytes: Uint8Array.from(bytes),
    what: classifySysEx(Uint8Array.from(bytes)),
  }) as WrittenSysEx;

/** Written notes are due at 1 s, 2 s … of the recording, and stand at ticks 96, 192 … */
function documentOf(differences: readonly SysExDifference[], came: readonly (readonly number[])[] = []) {
  let length = 0;
  const notes = [1, 2, 3, 4, 5];
  return sysExDocument(TIMELINE, {
    sysEx: { written: 5, heard: 6, differences, leftOut: 7, unheard: 8 },
    heard: {
      sysEx: {
        micros: Float64Array.from(came, (_, n) => 4_250_000 + n),
        bytes: Uint8Array.from(came.flat()),
        end: Uint32Array.from(came, (bytes) => {
          length += bytes.length;
          return length;
        }),
      },
    },
    matched: { expected: Float64Array.from(notes, (n) => n * 1e6) },
    written: { count: 5, tick: Float64Array.from(notes, (n) => n * 96) },
  } as unknown as MusicComparison);
}

const WHERE = { bar: 2, beat: 2, seconds: 2.5 };
const missing = { kind: 'missing', written: written(volume(50)) } as const;

test('counts, each kind by itself', () => {
  const moved = (kind: 'early' | 'late'): SysExDifference => ({
    kind,
    written: written(volume(1)),
    heard: 0,
    notes: 3,
  });
  const changed: SysExDifference = { kind: 'changed', written: written(volume(1)), heard: 0 };
  const added: SysExDifference = { kind: 'added', heard: 0 };
  const all: SysExDifference[] = [
    missing,
    ...new Array<SysExDifference>(2).fill(added),
    ...new Array<SysExDifference>(3).fill(changed),
    ...new Array<SysExDifference>(4).fill(moved('early')),
    ...new Array<SysExDifference>(5).fill(moved('late')),
  ];
  expect(documentOf(all, [volume(2)])).toMatchObject({
    song: 5,
    heard: 6,
    missing: 1,
    added: 2,
    changed: 3,
    early: 4,
    late: 5,
    leftOut: 7,
    unheard: 8,
  });
});

test('nothing of no SysEx', () => {
  expect(sysExDocument(TIMELINE, { sysEx: NO_SYSEX_COMPARED } as MusicComparison)).toEqual(NO_SYSEX);
});

test('the first hundred are told', () => {
  const { missing: count, differences } = documentOf(new Array<SysExDifference>(101).fill(missing));
  expect([count, differences.length]).toEqual([101, 100]);
});

describe('each in its line', () => {
  const line = (one: SysExDifference, came: readonly (readonly number[])[] = []) =>
    documentOf([one], came).differences[0];

  test('missing, and moved: where it is written', () => {
    const bytes = 'F0 7F 7F 04 01 00 32 F7';
    const common = { name: 'Master Volume', ...WHERE, byte: null, written: bytes };
    expect(line(missing)).toEqual({ kind: 'missing', ...common, notes: null, heard: null });
    expect(
      line({ kind: 'late', written: written(volume(50)), heard: 1, notes: 4 }, [[1], volume(50)]),
    ).toEqual({
      kind: 'late',
      ...common,
      notes: 4,
      heard: bytes,
    });
  });

  test('added: where it was heard', () => {
    expect(line({ kind: 'added', heard: 1 }, [[1], volume(51)])).toEqual({
      kind: 'added',
      name: 'Master Volume',
      // Behind the fourth note, which stands at the second bar’s first beat.
      bar: 2,
      beat: 1,
      seconds: 4.250_001,
      notes: null,
      byte: null,
      written: null,
      heard: 'F0 7F 7F 04 01 00 33 F7',
    });
  });

  test('changed: from which byte on, where F0 is the first', () => {
    const changed = (ours: readonly number[], theirs: readonly number[]) =>
      line({ kind: 'changed', written: written(ours), heard: 0 }, [theirs]);
    expect(changed(volume(50), volume(51))).toEqual({
      kind: 'changed',
      name: 'Master Volume',
      ...WHERE,
      notes: null,
      byte: 7,
      written: '32',
      heard: '33',
    });
    expect(changed([0x7d, 1, 2, 3], [0x7d, 3])).toMatchObject({ byte: 3, written: '01 02', heard: '' });
    expect(changed([0x7d, 1], [0x7e, 1])).toMatchObject({ byte: 2, written: '7D', heard: '7E' });
  });

  test('of many bytes sixteen are written out', () => {
    const long = (length: number) => [0x7d, ...new Array<number>(length - 1).fill(1)];
    const sixteen = `7D${' 01'.repeat(15)}`;
    const of = (length: number) => line({ kind: 'missing', written: written(long(length)) })?.written;
    expect([of(16), of(17)]).toEqual([`F0 ${sixteen} F7`, `F0 ${sixteen} … F7`]);
  });
});
