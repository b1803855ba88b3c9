import fc from 'fast-check';
import { expect, test } from 'vitest';
import { chaseChannel } from '../../../src/core/schedule/chase.ts';
import { chaseKeyPressure } from '../../../src/core/schedule/chase-key-pressure.ts';
import { CountIn } from '../../../src/core/schedule/count-in.ts';
import { ReceiverMemory } from '../../../src/core/schedule/receiver-memory.ts';
import { Settled } from '../../../src/core/schedule/settled.ts';
import { differences } from '../../support/channel-rest.ts';
import { WireReader } from '../../support/wire-reader.ts';

type Message = readonly [kind: number, data1: number, data2: number];

const controller = fc.oneof(
  fc.constantFrom(
    0,
    32,
    1,
    33,
    2,
    34,
    6,
    38,
    64,
    84,
    88,
    96,
    97,
    98,
    99,
    100,
    101,
    121,
    122,
    124,
    125,
    126,
    127,
  ),
  fc.nat(127),
);
const data = fc.oneof(fc.constantFrom(0, 1, 64, 127), fc.nat(127));
const message: fc.Arbitrary<Message> = fc.oneof(
  fc.tuple(fc.constantFrom(0xa0, 0xc0, 0xd0, 0xe0), data, data),
  fc.tuple(fc.constant(0xb0), controller, data),
);
const messages = fc.array(message, { maxLength: 25, size: 'max' });

function heard(said: readonly Message[], channel: number, settled?: Uint8Array): ReceiverMemory {
  const memory = new ReceiverMemory(undefined, settled);
  for (const [kind, data1, data2] of said) memory.fold(kind | channel, data1, data2);
  return memory;
}

/** What the chase sends on a channel, with the channel taken out. */
function chased(song: ReceiverMemory, memory: ReceiverMemory, channel: number, override = -1): Message[] {
  const sent: Message[] = [];
  const sink = {
    memory,
    message(status: number, data1: number, data2: number): void {
      expect(status & 15).toBe(channel);
      sent.push([status & 0xf0, data1, data2]);
      memory.fold(status, data1, data2);
    },
  };
  chaseChannel(song, sink, channel, override);
  chaseKeyPressure(song, sink, channel, 0);
  return sent;
}

test('the chase is the same on every channel, and does nothing twice', () => {
  fc.assert(
    fc.property(
      messages,
      messages,
      fc.integer({ min: -1, max: 127 }),
      fc.integer({ min: 1, max: 15 }),
      (said, sent, override, channel) => {
        const first = chased(heard(said, 0), heard(sent, 0), 0, override);
        const there = heard(sent, channel);
        expect(chased(heard(said, channel), there, channel, override)).toEqual(first);
        expect(chased(heard(said, channel), there, channel, override)).toEqual([]);
      },
    ),
    { numRuns: 200 },
  );
});

/** What a receiver holds after these messages, read by the words of the standard alone. */
function read(said: readonly Message[], msbClearsLsb: boolean): WireReader {
  const reader = new WireReader(msbClearsLsb);
  for (const [kind, ...data] of said) reader.read([kind, ...data.slice(0, (kind & 0xe0) === 0xc0 ? 1 : 2)]);
  return reader;
}

test.each([true, false])(
  'after it a receiver holds what the song says (one that clears the LSB: %s)',
  (clears) => {
    fc.assert(
      fc.property(messages, messages, (said, sent) => {
        const chase = chased(heard(said, 0), heard(sent, 0), 0);
        const found = read([...sent, ...chase], clears);
        expect(differences(read(said, clears), found, () => false)).toEqual([]);
        expect(found.faults).toEqual([]);
      }),
      { numRuns: 300 },
    );
  },
);

test.each<[string, readonly number[], readonly number[], number, string[]]>([
  ['the song’s, on the keys as they are sent', [60, 50, 0, 9], [], 5, ['5 9', '65 50']],
  ['nothing that is there', [60, 50], [65, 50], 5, []],
  ['what is elsewhere goes to rest', [60, 50], [60, 50, 127, 7], 5, ['60 0', '65 50', '127 0']],
  ['what is at rest stays', [], [60, 0], 0, []],
  ['a rest that the song says is said', [127, 0], [], 0, ['127 0']],
  ['a key beyond the last comes back an octave lower', [127, 3], [], 1, ['116 3']],
])('key pressure, key and value: %s', (_, song, sent, semitones, chase) => {
  const memoryOf = (pairs: readonly number[]) =>
    heard(
      pairs.flatMap((key, n) => (n % 2 === 0 ? [[0xa0, key, pairs[n + 1]!] as const] : [])),
      15,
    );
  const said: string[] = [];
  const message = (status: number, key: number, value: number) => {
    expect(status).toBe(0xaf);
    said.push(`${key} ${value}`);
  };
  chaseKeyPressure(memoryOf(song), { memory: memoryOf(sent), message }, 15, semitones);
  expect(said).toEqual(chase);
});

test('where the song settles a thing before its first note, nothing is said of it on any channel', () => {
  const touched: Message[] = [
    [0xb0, 7, 1],
    [0xb0, 10, 1],
    [0xb0, 64, 127],
    [0xc0, 5, 0],
    [0xd0, 5, 0],
    [0xe0, 5, 5],
  ];
  for (const channel of [0, 5, 15]) {
    const settled = new Uint8Array(16 * Settled.stride).fill(
      1,
      channel * Settled.stride,
      (channel + 1) * Settled.stride,
    );
    expect(chased(new ReceiverMemory(undefined, settled), heard(touched, channel), channel)).toEqual([]);
    expect(chased(new ReceiverMemory(), heard(touched, channel), channel)).toHaveLength(touched.length);
  }
});

test('more steps than were sent are added to them; where going back is longer, the data is entered anew (MIDI 1.0, p. 18)', () => {
  const entered: Message[] = [
    [0xb0, 101, 0],
    [0xb0, 100, 0],
    [0xb0, 6, 2],
  ];
  const up: Message = [0xb0, 96, 0];
  const down: Message = [0xb0, 97, 0];
  const after = (had: number, wants: number) => {
    const steps = (count: number) => Array.from({ length: Math.abs(count) }, () => (count > 0 ? up : down));
    return chased(heard([...entered, ...steps(wants)], 3), heard([...entered, ...steps(had)], 3), 3);
  };
  expect(after(0, 1)).toEqual([up]);
  expect(after(1, 3)).toEqual([up, up]);
  expect(after(2, 1)).toEqual([down]);
  expect(after(4, 1)).toEqual([[0xb0, 6, 2], up]);
  expect(after(-4, 0)).toEqual([[0xb0, 6, 2]]);
});

test('CC121 is sent where it is shorter than its effects one by one, and not where it is longer', () => {
  const all: Message[] = [
    [0xb0, 1, 9],
    [0xb0, 64, 127],
    [0xb0, 11, 9],
    [0xe0, 5, 5],
    [0xd0, 9, 0],
  ];
  const reset: Message = [0xb0, 121, 0];
  expect(chased(heard([...all, reset], 4), heard(all, 4), 4)).toContainEqual(reset);
  // Of what it moves all is there already but one value, which the song set after it.
  const rests: Message[] = [11, 64, 65, 66, 67, 68, 69].map((n): Message => [0xb0, n, n === 11 ? 127 : 0]);
  const there: Message[] = [...rests, [0xe0, 0, 64], [0xd0, 0, 0], [0xb0, 1, 9]];
  const sent = chased(heard([reset, [0xb0, 1, 9]], 4), heard(there, 4), 4);
  expect(sent).not.toContainEqual(reset);
});

test('a count-in that was taken back is over, and one that is prepared begins anew', () => {
  const table = {
    count: 1,
    micros: Float64Array.of(0),
    beatMicros: Float64Array.of(500_000),
    beats: Uint8Array.of(3),
  };
  const into = new Float64Array(1);
  const countIn = new CountIn(2, table);
  expect(countIn.pending).toBe(false);
  expect(countIn.prepare(0)).toBe(3_000_000);
  expect(countIn.pending).toBe(true);
  countIn.cancel();
  expect(countIn.pending).toBe(false);
  countIn.nextOffset(into, 0);
  expect(into[0]).toBe(Infinity);
  countIn.prepare(0);
  countIn.nextOffset(into, 0);
  expect([countIn.pending, into[0]]).toEqual([true, 0]);
  // Without beats, or without bars, there is nothing to count.
  for (const none of [new CountIn(2, undefined), new CountIn(0, table), new CountIn(0.9, table)]) {
    expect([none.prepare(0), none.pending, none.bars]).toEqual([0, false, 0]);
  }
});
