import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { NO_PARTNER } from '../../../src/core/timeline/timeline.ts';
import { type EventBytes, end, off, on, songOf } from './song-of.ts';

const timelineOf = (...events: EventBytes[]) => buildTimeline(songOf({ tracks: [events] }));
const partners = (...events: EventBytes[]) => [...timelineOf(...events).columns.partner];
const findings = (...events: EventBytes[]) => timelineOf(...events).findings.map(({ text }) => text);
const none = NO_PARTNER;

describe('two note-ons on one key need two note-offs (MIDI 1.0, A-4)', () => {
  test('first struck, first released', () => {
    expect(partners(on(0, 0, 60), on(10, 0, 60), off(20, 0, 60), off(30, 0, 60))).toEqual([2, 3, 0, 1]);
  });

  test('a note-on with velocity 0 releases (MIDI 1.0, Table II)', () => {
    expect(partners(on(0, 0, 60), on(10, 0, 60, 0))).toEqual([1, 0]);
  });

  test('keys and channels keep to themselves', () => {
    expect(partners(on(0, 0, 60), on(0, 1, 60), on(0, 0, 61), off(9, 1, 60), off(9, 0, 60))).toEqual([
      4,
      3,
      none,
      1,
      0,
    ]);
  });

  test('tracks on different ports are different instruments', () => {
    const { columns } = buildTimeline(
      songOf({
        tracks: [
          [on(0, 0, 60), off(30, 0, 60), end(30)],
          [[0, 0xff, 0x21, 1], on(0, 0, 60), off(10, 0, 60), end(10)],
        ],
      }),
    );
    expect([...columns.track]).toEqual([0, 1, 1, 0]);
    expect([...columns.partner]).toEqual([3, 2, 1, 0]);
  });
});

describe('notes that do not come in pairs are named by channel, key, bar and beat', () => {
  test('never released', () => {
    expect(findings(on(480, 2, 60), end(960))).toEqual([
      'The note on channel 3, key 60, at bar 2, beat 2 is never released.',
    ]);
  });

  test('released on another channel', () => {
    expect(findings(on(0, 2, 60), off(96, 4, 60))).toEqual([
      'Channel 5: a key is released without a strike (times: 1); first key 60 at bar 1, beat 2.',
      'The note on channel 3, key 60, at bar 1, beat 1 is never released there; a release stands on channel 5.',
    ]);
  });

  test('a release elsewhere is the cause of one note, of its own key, that was struck before it', () => {
    const stuck = (...events: EventBytes[]) =>
      findings(...events)
        .filter((text) => text.startsWith('The note on'))
        .map((text) => text.replace(/.*is never released/, ''));
    expect(stuck(on(0, 2, 60), off(96, 4, 61))).toEqual(['.']);
    expect(stuck(off(0, 4, 60), on(96, 2, 60))).toEqual(['.']);
    expect(stuck(on(0, 2, 60), on(0, 3, 60), off(96, 4, 60))).toEqual([
      ' there; a release stands on channel 5.',
      '.',
    ]);
  });

  test('a release before anything was struck', () => {
    expect(findings(off(0, 0, 60))).toHaveLength(1);
  });

  test('ended by All Notes Off only, which must not stand in for note-offs (MIDI 1.0, p. 20)', () => {
    expect(findings(on(0, 0, 60), [96, 0xb0, 123, 0])).toEqual([
      'The note on channel 1, key 60, at bar 1, beat 1 is never released; only "all notes off" or "all sound off" ends it.',
    ]);
  });

  test('by 120 and from 123 on (MIDI 1.0, Table IV), by no other controller', () => {
    const ending = Array.from({ length: 128 }, (_, controller) => controller).filter((controller) =>
      findings(on(0, 0, 60), [96, 0xb0, controller, 0]).some((text) => text.includes('ends it')),
    );
    expect(ending).toEqual([120, 123, 124, 125, 126, 127]);
  });

  test('a release on the same channel of another port is not elsewhere, but of another instrument', () => {
    const { findings: found } = buildTimeline(
      songOf({
        tracks: [
          [on(0, 2, 60), end(30)],
          [[0, 0xff, 0x21, 1], off(10, 2, 60), end(10)],
        ],
      }),
    );
    expect(found.map(({ text }) => text).filter((text) => text.includes('never released there'))).toEqual([]);
  });

  test('struck twice, without length, released without a strike', () => {
    const texts = findings(on(0, 0, 60), on(0, 0, 60), off(0, 0, 60), off(9, 0, 60), off(9, 0, 60));
    expect(texts).toEqual([
      'Channel 1: a key is struck while it sounds (times: 1); first key 60 at bar 1, beat 1.',
      'Channel 1: a note has no length (times: 1); first key 60 at bar 1, beat 1.',
      'Channel 1: a key is released without a strike (times: 1); first key 60 at bar 1, beat 1.',
    ]);
  });

  test('off and on at one tick is the usual repeat: nothing to say', () => {
    expect(findings(on(0, 0, 60), off(9, 0, 60), on(9, 0, 60), off(18, 0, 60))).toEqual([]);
  });
});

describe('pedals', () => {
  test('down at the end: damper, sostenuto, hold 2; from 64 on a pedal is down (MIDI 1.0, p. 12)', () => {
    expect(findings([0, 0xb0, 64, 64], [0, 0xb1, 66, 127], [0, 0xbf, 69, 100])).toEqual([
      'The damper pedal of channel 1 is still down at the end.',
      'The sostenuto pedal of channel 2 is still down at the end.',
      'The hold 2 pedal of channel 16 is still down at the end.',
    ]);
  });

  test('up again, at 63, or reset (121)', () => {
    expect(findings([0, 0xb0, 64, 127], [9, 0xb0, 64, 63], [0, 0xb1, 64, 127], [9, 0xb1, 121, 0])).toEqual(
      [],
    );
  });
});

test('a reset lets go of the pedals of its own channel only', () => {
  expect(findings([0, 0xb0, 64, 127], [0, 0xb2, 64, 127], [9, 0xb1, 121, 0])).toEqual([
    'The damper pedal of channel 1 is still down at the end.',
    'The damper pedal of channel 3 is still down at the end.',
  ]);
});

/** Pairing again, the slow way: for each release the oldest waiting strike of its channel and key. */
function slowPartners(events: readonly EventBytes[]): number[] {
  const partner = events.map(() => none);
  for (const [row, [, status = 0, key, velocity]] of events.entries()) {
    if (status >= 0x90 && velocity !== 0) continue;
    const strike = events.findIndex(
      ([, other = 0, otherKey, otherVelocity], index) =>
        index < row &&
        other >= 0x90 &&
        otherVelocity !== 0 &&
        (other & 15) === (status & 15) &&
        otherKey === key &&
        partner[index] === none,
    );
    if (strike < 0) continue;
    partner[strike] = row;
    partner[row] = strike;
  }
  return partner;
}

const note = fc.record({
  kind: fc.constantFrom('on', 'off', 'zero'),
  channel: fc.integer({ min: 0, max: 2 }),
  key: fc.integer({ min: 60, max: 62 }),
});

test('property: pairs are mutual, and those of a slow search', () => {
  fc.assert(
    fc.property(fc.array(note, { maxLength: 60 }), (notes) => {
      const events = notes.map(
        ({ kind, channel, key }, tick): EventBytes =>
          kind === 'on'
            ? on(tick, channel, key)
            : kind === 'off'
              ? off(tick, channel, key)
              : on(tick, channel, key, 0),
      );
      const found = partners(...events);
      expect(found).toEqual(slowPartners(events));
      for (const [row, partner] of found.entries()) if (partner !== none) expect(found[partner]).toBe(row);
    }),
  );
});

test('a long song of several tracks is paired once, however many stretches it is merged in', () => {
  // Track n strikes its own key 2,000 times; the first of all notes has no length, the last of all is never let go.
  const track = (key: number): EventBytes[] =>
    Array.from({ length: 2000 }, (_, n): EventBytes[] => [
      on(8 * n, 0, key),
      off(8 * n + (n === 0 && key === 60 ? 0 : 4), 0, key),
    ]).flat();
  const tracks = [track(60), track(62), [...track(64), on(20_000, 0, 64)]];
  const { columns, findings } = buildTimeline(songOf({ tracks }));
  const { count, data1, data2, status, partner } = columns;
  expect(count).toBe(12_001);
  const waiting = new Map<number, number>();
  const wanted = new Array<number>(count).fill(none);
  for (let row = 0; row < count; row += 1) {
    const key = data1[row]!;
    if ((status[row]! & 0xf0) === 0x90 && data2[row]! > 0) waiting.set(key, row);
    else {
      wanted[row] = waiting.get(key)!;
      wanted[waiting.get(key)!] = row;
    }
  }
  expect([...partner]).toEqual(wanted);
  expect(findings.map(({ text }) => text)).toEqual([
    expect.stringMatching(/times: 1\b/),
    expect.stringMatching(/is never released/),
  ]);
});
