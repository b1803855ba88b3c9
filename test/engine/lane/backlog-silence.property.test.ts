import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Command } from '../../../src/core/schedule/command.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

/**
 * The song hands over more than the wire carries, so much of it always waits in the outlet, where commands take
 * it back. Whatever is commanded, and however little the driver takes: in every pause and at the end the module
 * is silent and at rest, judged from the bytes by a reader of the wire that shares nothing with the program.
 */
const DURATION = 3_000_000;

const row: fc.Arbitrary<Row> = fc
  .tuple(
    fc.integer({ min: 0, max: DURATION - 1 }),
    fc.constantFrom(0x80, 0x90, 0x90, 0x90, 0xb0, 0xe0),
    fc.integer({ min: 0, max: 2 }),
    fc.integer({ min: 0, max: 5 }),
    fc.integer({ min: 0, max: 127 }),
  )
  .map(([micros, kind, channel, place, value]): Row => {
    if (kind === 0xb0) return [micros, kind | channel, [64, 66, 1, 7, 11, 67][place]!, value];
    return [micros, kind | channel, kind === 0xe0 ? value : 60 + place, value];
  });

/** Two thousand messages in three seconds are two thirds of the wire in the mean; most come in three heaps. */
const song = fc
  .array(row, { minLength: 300, maxLength: 2000, size: 'max' })
  .map((rows) =>
    rows
      .map(
        ([micros, ...bytes], i): Row => [
          i % 4 === 0 ? micros : Math.floor(micros / 1_000_000) * 1_000_000,
          ...bytes,
        ],
      )
      .sort((a, b) => a[0] - b[0]),
  );

const channel = fc.integer({ min: 0, max: 3 });
const command: fc.Arbitrary<Command> = fc.oneof(
  fc.constantFrom<Command>(
    { kind: 'pause' },
    { kind: 'play' },
    { kind: 'stop' },
    { kind: 'silence-all' },
    { kind: 'loop-off' },
  ),
  fc.integer({ min: 0, max: DURATION }).map((micros): Command => ({ kind: 'seek', micros })),
  fc.tuple(channel, fc.boolean()).map(([channel, on]): Command => ({ kind: 'mute', channel, on })),
  fc.tuple(channel, fc.boolean()).map(([channel, on]): Command => ({ kind: 'solo', channel, on })),
  channel.map((channel): Command => ({ kind: 'silence-channel', channel })),
  fc
    .tuple(channel, fc.integer({ min: 60, max: 65 }))
    .map(([channel, key]): Command => ({ kind: 'silence-note', channel, key })),
  fc.integer({ min: -12, max: 12 }).map((semitones): Command => ({ kind: 'transpose', semitones })),
  fc.constant<Command>({ kind: 'loop', fromMicros: 500_000, toMicros: 1_200_000 }),
);
const steps = fc.array(fc.tuple(fc.integer({ min: 0, max: 400_000 }), command), { maxLength: 25 });

function heard(port: MockPort): WireReader {
  const reader = new WireReader();
  reader.read(port.recorded().bytes);
  return reader;
}

test('a pause and a quit are silent whatever waited for the wire', async () => {
  await fc.assert(
    fc.asyncProperty(song, steps, fc.integer({ min: 3, max: 64 }), async (rows, commands, capacityBytes) => {
      const port = new MockPort({ record: true, capacityBytes });
      const options = { plan: planOfRows(rows), durationMicros: DURATION, outputs: [] };
      const player = await openVirtualPlayer(options, [{ port }]);
      let now = 0;
      for (const [wait, command] of commands) {
        now += wait;
        if (!player.advanceTo(now)) break;
        player.send(command);
      }
      player.send({ kind: 'pause' });
      if (player.advanceTo(now + 8_000_000)) {
        expect(heard(port).sounding).toBe(0);
        expect(heard(port).unrestful).toEqual([]);
        player.send({ kind: 'play' });
        player.advanceTo(now + 8_300_000);
      }
      await player.close();
      const reader = heard(port);
      expect(reader.sounding).toBe(0);
      expect(reader.unrestful).toEqual([]);
      expect(reader.faults).toEqual([]);
      expect(player.observed.sounding.every((keys) => keys === 0)).toBe(true);
    }),
    { numRuns: 40 },
  );
});
