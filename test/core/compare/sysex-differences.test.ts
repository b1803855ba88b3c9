import { describe, expect, test } from 'vitest';
import { wholeSong } from '../../../src/core/compare/coverage.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import { NO_SYSEX_COMPARED, sysExDifferences } from '../../../src/core/compare/sysex-differences.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** Universal messages as MIDI 1.0, Table VIIa, has them, without F0 and F7. */
const GM_ON = [0x7e, 0x7f, 0x09, 0x01];
const IDENTITY = [0x7e, 0x7f, 0x06, 0x01];
const volume = (value: number) => [0x7f, 0x7f, 0x04, 0x01, 0x00, value];
const balance = (value: number) => [0x7f, 0x7f, 0x04, 0x02, 0x00, value];

/** Thirty notes half a second apart, the first at two seconds; between notes n − 1 and n what is given for n. */
type Between = Readonly<Record<number, readonly (readonly number[])[]>>;
const COUNT = 30;
const at = (note: number) => 2_000_000 + note * 500_000;

const messages = (between: Between, isThere: (note: number) => boolean = () => true): TimedBytes[] =>
  Array.from({ length: COUNT + 1 }, (_, n): TimedBytes[] => [
    ...(between[n] ?? []).map(
      (bytes, place): TimedBytes => [
        at(n) - 250_000 + place * 10_000,
        0xf0,
        ...bytes,
        ...(bytes.at(-1) === CUT ? [] : [0xf7]),
      ],
    ),
    ...(n < COUNT && isThere(n) ? [[at(n), 0x90, 40 + n, 64] as TimedBytes] : []),
  ]).flat();
/** As the last byte: the next status cuts it. */
const CUT = 0;

interface Told {
  readonly song: Between;
  readonly heard: Between;
  /** By how much later all came; notes that came; and what is said of the listener. */
  readonly later?: number;
  readonly isThere?: (note: number) => boolean;
  readonly setFrom?: number;
  readonly hasTimes?: boolean;
  readonly isEveryNoteThere?: boolean;
}

function compared({ song, heard, later = 0, isThere, setFrom = -Infinity, hasTimes = true, ...more }: Told) {
  const timeline = { columns: timelineOf(messages(song)) } as Timeline;
  const written = writtenMusic(timeline);
  const came = heardFromChunks(
    messages(heard, isThere).map(([micros, ...bytes]) => ({
      micros: micros + later,
      bytes: Uint8Array.from(bytes),
    })),
  );
  const heardOf = Int32Array.from(written.key, (key) => came.on.key.indexOf(key));
  return sysExDifferences(
    timeline,
    written,
    { ...came, hasTimes },
    { matching: { heardOf }, line: { rate: 1 } } as unknown as MatchedMusic,
    { ...wholeSong(written.count), setFromMicros: setFrom },
    more.isEveryNoteThere ?? true,
  );
}

/** Each difference as its kind and the last byte of what is written, or of what was added its number. */
const told = (some: Told) =>
  compared(some).differences.map((one) => [
    one.kind,
    one.kind === 'added' ? one.heard : one.written.bytes.at(-1),
    ...('notes' in one ? [one.notes] : one.kind === 'changed' ? [one.heard] : []),
  ]);

test('nothing on either side; and as it is written', () => {
  expect(compared({ song: {}, heard: {} })).toBe(NO_SYSEX_COMPARED);
  const song = { 3: [volume(50)], 5: [IDENTITY], 9: [[0x7d, 1, 2]] };
  expect(compared({ song, heard: song })).toEqual({
    written: 2,
    heard: 3,
    differences: [],
    leftOut: 0,
    unheard: 0,
  });
  expect(compared({ song, heard: {} })).toMatchObject({
    written: 2,
    heard: 0,
    leftOut: 1,
    differences: [{}],
  });
  expect(compared({ song: {}, heard: song })).toMatchObject({ written: 0, heard: 3, differences: [{}] });
});

describe('what did not come', () => {
  test('is missing within the notes that were heard', () => {
    expect(told({ song: { 9: [volume(50)] }, heard: {} })).toEqual([['missing', 50]]);
    expect(told({ song: { 9: [IDENTITY] }, heard: {} })).toEqual([]);
  });

  test('outside of these it is not owed', () => {
    const middle = (note: number) => note >= 8 && note < 24;
    const song = { 5: [volume(50)], 27: [volume(60)] };
    expect(compared({ song, heard: {}, isThere: middle })).toMatchObject({
      differences: [],
      unheard: 0,
      leftOut: 0,
    });
  });

  test('nor where it was due before anybody listened', () => {
    const due = at(9) - 250_000;
    const some = (setFrom: number) => compared({ song: { 9: [volume(50)] }, heard: {}, setFrom });
    expect(some(due)).toMatchObject({ unheard: 0, differences: [{ kind: 'missing' }] });
    expect(some(due + 1)).toMatchObject({ unheard: 1, differences: [] });
  });

  test('before the first note it is missing where one listened half a second before, or another came', () => {
    const song = { 0: [volume(50), balance(60)] };
    // Due at 1.75 s, and so much earlier in the recording.
    const early = (later: number, hasTimes = true) => compared({ song, heard: {}, later, hasTimes });
    expect(early(-1_250_000)).toMatchObject({
      unheard: 1,
      differences: [{ written: { micros: 1_760_000 } }],
    });
    expect(early(-1_260_000)).toMatchObject({ unheard: 2, differences: [] });
    expect(early(0)).toMatchObject({ unheard: 0, differences: [{}, {}] });
    expect(early(0, false)).toMatchObject({ unheard: 2, differences: [] });
    const one = (heard: readonly number[]) => compared({ song, heard: { 0: [heard] }, later: -1_750_000 });
    expect(one(volume(50))).toMatchObject({ unheard: 0, differences: [{ kind: 'missing' }] });
    expect(one(balance(60))).toMatchObject({ unheard: 1, differences: [] });
    // One that came changed is one that came.
    expect(one(volume(51))).toMatchObject({
      unheard: 0,
      differences: [{ kind: 'changed' }, { kind: 'missing' }],
    });
  });

  test('need not come where the same is in force already', () => {
    const left = (song: Between, heard: Between) => {
      const { leftOut, differences } = compared({ song, heard });
      return [leftOut, ...differences.map(({ kind }) => kind)];
    };
    expect(left({ 3: [volume(50)], 9: [volume(50)] }, { 3: [volume(50)] })).toEqual([1]);
    expect(left({ 3: [balance(50)], 9: [volume(50)] }, { 3: [balance(50)] })).toEqual([0, 'missing']);
    // Another was set since, or ought to have been, or all was put back.
    expect(
      left({ 3: [volume(50)], 5: [volume(9)], 9: [volume(50)] }, { 3: [volume(50)], 5: [volume(9)] }),
    ).toEqual([0, 'missing']);
    expect(left({ 3: [volume(50)], 5: [volume(9)], 9: [volume(50)] }, { 3: [volume(50)] })).toEqual([
      0,
      'missing',
      'missing',
    ]);
    expect(left({ 3: [volume(50)], 5: [GM_ON], 9: [volume(50)] }, { 3: [volume(50)], 5: [GM_ON] })).toEqual([
      0,
      'missing',
    ]);
    // Of a reset nobody knows that it holds; nor of what names a parameter.
    expect(left({ 3: [GM_ON], 9: [GM_ON] }, { 3: [GM_ON] })).toEqual([0, 'missing']);
    const tuning = [0x7f, 0x7f, 0x08, 0x02, 1, 1, 60, 60, 1, 2];
    expect(left({ 3: [tuning], 9: [tuning] }, { 3: [tuning] })).toEqual([0, 'missing']);
  });
});

describe('what came at another place', () => {
  const song = { 9: [volume(50)] };
  const moved = (to: number, isEveryNoteThere = true) =>
    told({ song, heard: { [to]: [volume(50)] }, isEveryNoteThere });

  test('is late or early, by the notes it has passed', () => {
    expect([moved(9), moved(10), moved(14)]).toEqual([[], [['late', 50, 1]], [['late', 50, 5]]]);
    expect([moved(8), moved(3)]).toEqual([[['early', 50, 1]], [['early', 50, 6]]]);
  });

  test('where notes are missing or added, by three at least', () => {
    expect([moved(11, false), moved(12, false)]).toEqual([[], [['late', 50, 3]]]);
    expect([moved(7, false), moved(6, false)]).toEqual([[], [['early', 50, 3]]]);
  });

  test('not of what changes nothing', () => {
    expect(told({ song: { 9: [IDENTITY] }, heard: { 20: [IDENTITY] } })).toEqual([]);
    expect(told({ song: { 9: [[0x7d, 1]] }, heard: { 20: [[0x7d, 1]] } })).toEqual([['late', 1, 11]]);
  });

  test('nor outside of what was heard', () => {
    const middle = (note: number) => note >= 8 && note < 24;
    expect(told({ song: { 5: [volume(50)] }, heard: { 15: [volume(50)] }, isThere: middle })).toEqual([]);
  });
});

describe('what came as another one', () => {
  test('is changed, each by one of its own', () => {
    expect(told({ song: { 9: [volume(50)] }, heard: { 9: [volume(51)] } })).toEqual([['changed', 50, 0]]);
    expect(told({ song: { 9: [volume(50), balance(50)] }, heard: { 9: [volume(51)] } })).toEqual([
      ['changed', 50, 0],
      ['missing', 50],
    ]);
    expect(told({ song: { 9: [volume(50), volume(60)] }, heard: { 9: [volume(51), volume(61)] } })).toEqual([
      ['changed', 50, 0],
      ['changed', 60, 1],
    ]);
  });

  test('not one that another came as, or that says something else', () => {
    expect(told({ song: { 9: [volume(50), volume(60)] }, heard: { 9: [volume(60)] } })).toEqual([
      ['missing', 50],
    ]);
    expect(told({ song: { 9: [GM_ON] }, heard: { 9: [IDENTITY] } })).toEqual([['missing', 1]]);
  });

  test('of what need not come only what is owed is', () => {
    const long = [0x7d, 1, 2, 3];
    expect(told({ song: { 9: [long] }, heard: { 9: [[0x7d, 1, 2, 9]] } })).toEqual([]);
    expect(told({ song: { 9: [IDENTITY] }, heard: { 9: [[0x7e, 0x7f, 0x09, 0x01]] } })).toEqual([
      ['added', 0],
    ]);
    const others = { 3: [[0x7d, 5, 5, 5]], 5: [[0x7d, 6, 6, 6]] };
    expect(told({ song: { ...others, 9: [long] }, heard: { ...others, 9: [[0x7d, 1, 2, 9]] } })).toEqual([
      ['changed', 3, 2],
    ]);
  });

  test('what is changed replaces what was in force', () => {
    const song = { 3: [volume(50)], 5: [volume(60)], 9: [volume(50)] };
    expect(told({ song, heard: { 3: [volume(50)], 5: [volume(61)] } })).toEqual([
      ['changed', 60, 1],
      ['missing', 50],
    ]);
  });
});

describe('what a maker’s listener is owed', () => {
  const owed = (came: readonly (readonly number[])[], lost: readonly number[]) =>
    compared({ song: { 3: came, 9: [lost] }, heard: { 3: came } }).differences.length === 1;

  test('is as long as what came, of which two are not alike', () => {
    expect(
      owed(
        [
          [0x7d, 1, 1],
          [0x7d, 2, 2],
        ],
        [0x7d, 3, 3],
      ),
    ).toBe(true);
    expect(
      owed(
        [
          [0x7d, 1, 1],
          [0x7d, 2, 2],
        ],
        [0x7d, 3, 3, 3],
      ),
    ).toBe(false);
    expect(
      owed(
        [
          [0x7d, 1, 1],
          [0x7d, 2],
        ],
        [0x7d, 3, 3],
      ),
    ).toBe(true);
    expect(owed([[0x7d, 1, 1]], [0x7d, 3, 3])).toBe(false);
    expect(
      owed(
        [
          [0x7d, 1, 1],
          [0x7d, 1, 1],
        ],
        [0x7d, 3, 3],
      ),
    ).toBe(false);
  });

  test('is of the same maker, whose id has one byte, or three of which the first is 0', () => {
    expect(
      owed(
        [
          [0x7d, 1, 1],
          [0x7d, 2, 2],
        ],
        [0x7c, 3, 3],
      ),
    ).toBe(false);
    expect(
      owed(
        [
          [0, 8, 9, 1],
          [0, 8, 9, 2],
        ],
        [0, 8, 9, 3],
      ),
    ).toBe(true);
    expect(
      owed(
        [
          [0, 8, 9, 1],
          [0, 8, 9, 2],
        ],
        [0, 8, 7, 3],
      ),
    ).toBe(false);
    expect(
      owed(
        [
          [0, 8, 9, 1],
          [0, 8, 9, 2],
        ],
        [0, 7, 9, 3],
      ),
    ).toBe(false);
  });

  test('and of the same kind of dump', () => {
    const packet = (kind: number, n: number) => [0x7e, 0x7f, kind, n];
    expect(owed([packet(2, 1), packet(2, 2)], packet(2, 3))).toBe(true);
    expect(owed([packet(2, 1), packet(2, 2)], packet(1, 3))).toBe(false);
    // To whomever it is sent.
    expect(owed([packet(2, 1), packet(2, 2)], [0x7e, 0x10, 2, 3])).toBe(true);
  });
});

describe('what nobody wrote', () => {
  const added = (heard: Between, song: Between = {}) => told({ song, heard });

  test('is added in the midst of the song, if it changes what holds', () => {
    expect(added({ 9: [volume(50)] })).toEqual([['added', 0]]);
    expect(added({ 0: [volume(50)], 9: [volume(51)], 30: [volume(52)] })).toEqual([['added', 1]]);
    expect(added({ 9: [IDENTITY, [0x7d, 1]] })).toEqual([]);
    expect(added({ 9: [[...volume(0)]] })).toEqual([]);
    expect(added({ 9: [GM_ON, GM_ON] })).toEqual([
      ['added', 0],
      ['added', 1],
    ]);
  });

  test('not what holds already, by whomever it was set', () => {
    expect(added({ 0: [volume(50)], 9: [volume(50)] })).toEqual([]);
    expect(added({ 3: [volume(50)], 9: [volume(50)] }, { 3: [volume(50)] })).toEqual([]);
    expect(added({ 3: [volume(50)], 5: [volume(51)], 9: [volume(50)] }, { 3: [volume(50)] })).toEqual([
      ['added', 1],
      ['added', 2],
    ]);
    expect(added({ 3: [volume(50)], 5: [GM_ON], 9: [volume(50)] })).toEqual([
      ['added', 0],
      ['added', 1],
      ['added', 2],
    ]);
    expect(added({ 3: [volume(50)], 5: [balance(1)], 9: [volume(50)] })).toEqual([
      ['added', 0],
      ['added', 1],
    ]);
  });

  test('nor what one that is written came as', () => {
    expect(added({ 9: [volume(51), volume(52)] }, { 9: [volume(50)] })).toEqual([
      ['changed', 50, 0],
      ['added', 1],
    ]);
  });
});
