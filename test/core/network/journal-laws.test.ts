import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Fate, PLAYOUT_MICROS, type Sent, travel } from '../../support/lossy-road.ts';
import type { WireReader } from '../../support/wire-reader.ts';

const KEY = fc.integer({ min: 58, max: 66 });
const SEVEN = fc.integer({ min: 0, max: 127 });
const CHANNEL = fc.constantFrom(0, 1, 9, 15);

/** Few channels, keys and numbers, so that they meet. */
const MESSAGE = fc.oneof(
  { weight: 6, arbitrary: fc.tuple(fc.constant(0x90), KEY, SEVEN) },
  { weight: 4, arbitrary: fc.tuple(fc.constant(0x80), KEY, SEVEN) },
  { weight: 1, arbitrary: fc.tuple(fc.constant(0xa0), KEY, SEVEN) },
  { weight: 4, arbitrary: fc.tuple(fc.constant(0xb0), fc.constantFrom(0, 1, 7, 32, 33, 64, 66, 122), SEVEN) },
  {
    weight: 1,
    arbitrary: fc.tuple(fc.constant(0xb0), fc.constantFrom(120, 121, 123, 124, 127), fc.constant(0)),
  },
  { weight: 2, arbitrary: fc.tuple(fc.constant(0xc0), SEVEN) },
  { weight: 1, arbitrary: fc.tuple(fc.constant(0xd0), SEVEN) },
  { weight: 2, arbitrary: fc.tuple(fc.constant(0xe0), SEVEN, SEVEN) },
);

const CHANNEL_MESSAGE = fc
  .tuple(MESSAGE, CHANNEL)
  .map(([[status, ...data], channel]) => Uint8Array.of(status! | channel, ...data));

/** With what the journal says nothing of: real-time bytes, SysEx whole and in pieces, system common. */
const ANY_MESSAGE = fc.oneof(
  { weight: 8, arbitrary: CHANNEL_MESSAGE.map((message) => [message]) },
  {
    weight: 1,
    arbitrary: fc.constantFrom(0xf8, 0xfa, 0xfc, 0xfe, 0xf6).map((byte) => [Uint8Array.of(byte)]),
  },
  { weight: 1, arbitrary: SEVEN.map((song) => [Uint8Array.of(0xf3, song)]) },
  // A General MIDI reset: nobody can rely on it to end a note.
  { weight: 1, arbitrary: fc.constant([Uint8Array.of(0xf0, 0x7e, 0x7f, 9, 1, 0xf7)]) },
  {
    weight: 1,
    arbitrary: fc
      .array(fc.array(SEVEN, { minLength: 1, maxLength: 32 }), { minLength: 1, maxLength: 4 })
      .map((pieces) =>
        pieces.map((data, index) =>
          Uint8Array.of(
            ...(index === 0 ? [0xf0] : []),
            ...data,
            ...(index === pieces.length - 1 ? [0xf7] : []),
          ),
        ),
      ),
  },
);

const STREAM = fc
  .array(fc.tuple(ANY_MESSAGE, fc.integer({ min: 0, max: 60_000 })), { minLength: 1, maxLength: 60 })
  .map(timed);
const CHANNEL_STREAM = fc
  .array(
    fc.tuple(
      CHANNEL_MESSAGE.map((message) => [message]),
      fc.integer({ min: 0, max: 60_000 }),
    ),
    { minLength: 1, maxLength: 60 },
  )
  .map(timed);

function timed(list: readonly (readonly [readonly Uint8Array[], number])[]): Sent[] {
  let micros = 0;
  return list.flatMap(([messages, wait]) => {
    micros += wait;
    return messages.map((message) => ({ message, micros }));
  });
}

/** Lost, delayed past its successors, there twice; the last packet always comes. */
const FATES = fc.array(
  fc.oneof(
    { weight: 3, arbitrary: fc.constant<Fate>([]) },
    { weight: 4, arbitrary: fc.integer({ min: 100, max: 4000 }).map((delay): Fate => [delay]) },
    { weight: 1, arbitrary: fc.integer({ min: 100, max: 90_000 }).map((delay): Fate => [delay]) },
    { weight: 1, arbitrary: fc.integer({ min: 100, max: 9000 }).map((delay): Fate => [delay, delay * 2]) },
  ),
  { minLength: 1, maxLength: 40 },
);
const EACH = fc.integer({ min: 1, max: 5 });

function fateFrom(fates: readonly Fate[], total: number): (packet: number) => Fate {
  return (packet) => (packet >= total ? [200] : fates[packet % fates.length]!);
}

/** What a reader was told, sorted, without what only counts or tells of resets gone by. */
function said(reader: WireReader): [string, number][] {
  return [...reader.said]
    .filter(([what]) => !/:(cc12[0134567]|cc9[89]|cc10[01]|selected|omni|mono)$/.test(what))
    .filter(([what, value]) => value > 0 || !/:cc(0|32)$/.test(what)) // a bank's half at rest may go without saying
    .sort();
}

describe('RTP packets', () => {
  it('carry any stream byte for byte, in time, where nothing is lost', () => {
    fc.assert(
      fc.property(
        STREAM,
        EACH,
        fc.array(fc.integer({ min: 0, max: 3000 }), { minLength: 1 }),
        (sent, each, jitter) => {
          const road = travel(sent, (packet) => [1000 + jitter[packet % jitter.length]!], { each });
          expect(road.heard).toEqual(sent.flatMap(({ message }) => [...message]));
          expect([...road.times].sort((a, b) => a - b)).toEqual(road.times);
          expect(road.receiver.counts).toMatchObject({ lost: 0, late: 0, unreadable: 0 });
        },
      ),
      { numRuns: 80 },
    );
  });

  it('keep the distances of the messages, whatever the network did to them', () => {
    const sent = Array.from({ length: 50 }, (_, i) => ({ message: Uint8Array.of(0xf8), micros: i * 20_000 }));
    const road = travel(sent, (packet) => [300 + ((packet * 911) % 4000)], { each: 1 });
    const distances = road.times.slice(1).map((time, i) => time - road.times[i]!);
    // From the third packet on the shortest way is known to within the jitter of the others; a tick is 23 µs.
    for (const distance of distances.slice(8)) expect(Math.abs(distance - 20_000)).toBeLessThan(50);
  });
});

describe('the recovery journal', () => {
  it('brings the receiver to where the sender is, whatever was lost, late or there twice', () => {
    fc.assert(
      fc.property(CHANNEL_STREAM, FATES, EACH, (sent, fates, each) => {
        const total = Math.ceil(sent.length / each);
        const road = travel(sent, fateFrom(fates, total), { each });
        expect(road.far.faults).toEqual([]);
        for (const place of road.far.open.keys()) expect([...road.near.open.keys()]).toContain(place);
        expect(said(road.far)).toEqual(said(road.near));
      }),
      { numRuns: 150 },
    );
  });

  it('leaves no note sounding that the sender ended, SysEx and clocks among the lost packets too', () => {
    fc.assert(
      fc.property(STREAM, FATES, EACH, (sent, fates, each) => {
        const road = travel(sent, fateFrom(fates, Math.ceil(sent.length / each)), { each });
        for (const place of road.far.open.keys()) expect([...road.near.open.keys()]).toContain(place);
        expect(road.far.faults.filter((fault) => fault !== 'SysEx ended by a status')).toEqual([]);
      }),
      { numRuns: 80 },
    );
  });

  it('ends what sounds and lifts the pedals once nothing comes for a second', () => {
    fc.assert(
      fc.property(CHANNEL_STREAM, FATES, (sent, fates) => {
        const road = travel(sent, (packet) => (packet === 0 ? [100] : fates[packet % fates.length]!), {
          guards: 0,
        });
        road.runTo(road.now + 10_000_000);
        expect(road.far.sounding).toBe(0);
        expect(road.far.unrestful.filter((what) => /cc(64|66|69)$/.test(what))).toEqual([]);
        expect(road.events.at(-1)).toBe('gone');
      }),
      { numRuns: 40 },
    );
  });

  it('says where parameters stand, and which one data entry goes to', () => {
    const bends = [
      [0xb0, 101, 0],
      [0xb0, 100, 0],
      [0xb0, 6, 12],
      [0xb0, 38, 5],
      [0xb0, 99, 1],
      [0xb0, 98, 8],
      [0xb0, 6, 70],
      [0xb0, 96, 0],
      [0xb0, 96, 0],
      [0xb0, 101, 0],
      [0xb0, 100, 1],
    ];
    const sent = bends.map((bytes, i) => ({ message: Uint8Array.from(bytes), micros: i * 1000 }));
    const road = travel(sent, (packet) => (packet < 11 ? [] : [100]), { each: 1 });
    const told = (reader: WireReader) =>
      [...reader.said].filter(([what]) => /rpn|selected/.test(what)).sort();
    expect(told(road.far)).toEqual(told(road.near));
    expect(road.far.said.get('0:nrpn 136.steps')).toBe(2);
  });

  it.each([0.05, 0.2, 0.5])('hangs nothing over a long stream with a loss of %d', (loss) => {
    const sent: Sent[] = [];
    for (let i = 0; i < 1000; i += 1) {
      const key = 36 + ((i * 7) % 48);
      sent.push({ message: Uint8Array.of(0x90 | (i % 16), key, 80), micros: i * 20_000 });
      sent.push({ message: Uint8Array.of(0x80 | (i % 16), key, 64), micros: i * 20_000 + 15_000 });
    }
    let state = 1;
    const road = travel(
      sent,
      (packet) => {
        state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
        return packet < 2000 && state / 2 ** 32 < loss ? [] : [300];
      },
      { each: 1 },
    );
    expect(road.far.sounding).toBe(0);
    const { heard, lost } = road.receiver.counts;
    expect(lost / (heard + lost)).toBeGreaterThan(loss * 0.8);
    // A note is lost for good only where its own packet and all those before its end are.
    expect(road.far.noteOns.length).toBeGreaterThan(1000 * (1 - loss * loss * 1.3));
    expect(PLAYOUT_MICROS).toBeLessThan(20_000);
  });
});
