import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { restlessChannels, silenceSeen } from '../../../src/engine/run/last-silence.ts';

type Message = readonly [status: number, data1: number, data2: number];

const message = fc
  .tuple(
    fc.constantFrom(0, 1, 14, 15),
    fc.oneof(
      { weight: 5, arbitrary: fc.tuple(fc.constant(0x90), fc.constantFrom(0, 60, 127), fc.nat(127)) },
      { weight: 2, arbitrary: fc.tuple(fc.constant(0x80), fc.constantFrom(0, 60, 127), fc.nat(127)) },
      {
        weight: 2,
        arbitrary: fc.tuple(
          fc.constant(0xb0),
          fc.constantFrom(64, 66, 67, 69, 7, 121),
          fc.constantFrom(0, 1, 127),
        ),
      },
      { weight: 1, arbitrary: fc.tuple(fc.constant(0xe0), fc.nat(127), fc.nat(127)) },
      { weight: 1, arbitrary: fc.tuple(fc.constant(0xc0), fc.nat(127), fc.constant(0)) },
    ),
  )
  .map(([channel, [kind, data1, data2]]): Message => [kind | channel, data1, data2]);

function seen(messages: readonly Message[]) {
  const observed = createObservedState();
  const fold = (status: number, data1: number, data2: number) =>
    foldMessage(observed, status, data1, data2, Float64Array.of(0, 0, 0));
  for (const one of messages) fold(...one);
  return { observed, fold };
}

test('every strike that was seen gets its note-off, pedals and bend go home; other channels hear nothing', () => {
  fc.assert(
    fc.property(
      fc.array(message, { maxLength: 40, size: 'max' }),
      fc.nat(0xffff),
      fc.boolean(),
      (messages, channels, round) => {
        const { observed, fold } = seen(messages);
        const strikes = observed.strikes.slice();
        const touched = observed.messages.slice();
        const before = restlessChannels(observed);
        const sent: Message[] = [];
        const outlet = {
          message(status: number, data1: number, data2: number, at: Float64Array): void {
            expect([...at]).toEqual([77, -1, 77]);
            sent.push([status, data1, data2]);
          },
        };
        silenceSeen(observed, outlet, channels, 77, round);
        const offs = new Map<number, number>();
        for (const [status, key] of sent) {
          const channel = status & 15;
          expect(channels & (1 << channel)).not.toBe(0);
          expect(touched[channel]).toBeGreaterThan(0);
          const cell = channel * 128 + key;
          if ((status & 0xf0) === 0x80) offs.set(cell, (offs.get(cell) ?? 0) + 1);
        }
        const owed = new Map<number, number>();
        for (let cell = 0; cell < 2048; cell += 1) {
          if (strikes[cell]! > 0 && (channels & (1 << (cell >> 7))) !== 0) owed.set(cell, strikes[cell]!);
        }
        expect(new Map([...offs].sort(([one], [other]) => one - other))).toEqual(owed);
        // The first note-off of each key before the second of any: most receivers are silent by then.
        const order = sent
          .filter(([status]) => (status & 0xf0) === 0x80)
          .map(([status, key]) => (status & 15) * 128 + key);
        const firsts = new Set(order).size;
        expect(new Set(order.slice(0, firsts)).size).toBe(firsts);
        for (let channel = 0; channel < 16; channel += 1) {
          const modes = sent.filter(([status, number]) => status === (0xb0 | channel) && number >= 120);
          const isMeant = round && (channels & (1 << channel)) !== 0 && touched[channel]! > 0;
          expect(modes.map(([, number]) => number)).toEqual(isMeant ? [123, 120] : []);
        }
        for (const one of sent) fold(...one);
        expect(restlessChannels(observed)).toBe(before & ~channels);
      },
    ),
    { numRuns: 120 },
  );
});

test.each<[string, Message[], number]>([
  ['nothing', [], 0],
  ['a note', [[0x93, 60, 1]], 1 << 3],
  [
    'a note that was let go',
    [
      [0x93, 60, 1],
      [0x83, 60, 0],
    ],
    0,
  ],
  ['a pedal', [[0xbf, 64, 1]], 1 << 15],
  ['the bend', [[0xe0, 0, 63]], 1],
  ['the bend at home', [[0xe0, 0, 64]], 0],
  ['a volume', [[0xb0, 7, 127]], 0],
])('restless after %s', (_, messages, channels) => {
  expect(restlessChannels(seen(messages).observed)).toBe(channels);
});
