import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Command } from '../../../src/core/schedule/command.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

/** Judged from the bytes by the independent reader: whatever waits for the wire when a channel is muted. */
const CHANNELS = 4;

function noteOnsAfter(port: MockPort, bytes: number): readonly { channel: number }[] {
  const reader = new WireReader();
  const all = port.recorded().bytes;
  reader.read(all.subarray(0, bytes));
  const before = reader.noteOns.length;
  reader.read(all.subarray(bytes));
  return reader.noteOns.slice(before);
}

const soundingOf = (port: MockPort): number => {
  const reader = new WireReader();
  reader.read(port.recorded().bytes);
  expect(reader.faults).toEqual([]);
  return reader.sounding;
};

/** Sixty-four notes at once on sixteen channels: twenty milliseconds of them are with the port, the rest waits. */
async function sixtyFourWaiting(command: readonly Command[]) {
  const rows = Array.from({ length: 64 }, (_, i): Row => [1000, 0x90 | (i % 16), 40 + (i >> 4), 100]);
  const port = new MockPort({ record: true });
  const player = await openVirtualPlayer({ plan: planOfRows(rows), durationMicros: 2_000_000, outputs: [] }, [
    { port },
  ]);
  player.advanceTo(1000);
  const taken = port.bytesTaken;
  expect(taken).toBeLessThan(80);
  for (const one of command) player.send(one);
  player.advanceTo(1_500_000);
  const after = noteOnsAfter(port, taken);
  await player.close();
  expect(soundingOf(port)).toBe(0);
  return after.map(({ channel }) => channel);
}

test('muting fifteen channels while sixty-four notes wait sends those of the sixteenth alone', async () => {
  const mutes = Array.from({ length: 15 }, (_, channel): Command => ({ kind: 'mute', channel, on: true }));
  expect(new Set(await sixtyFourWaiting(mutes))).toEqual(new Set([15]));
});

test('soloing one channel does the same', async () => {
  const after = await sixtyFourWaiting([{ kind: 'solo', channel: 15, on: true }]);
  expect(after).toHaveLength(3); // its first was with the port already
  expect(new Set(after)).toEqual(new Set([15]));
});

test('the song’s end takes nothing back: its last chord is played, however long it waits', async () => {
  const rows = Array.from({ length: 64 }, (_, i): Row => [1000, 0x90 | (i % 16), 40 + (i >> 4), 100]);
  const port = new MockPort({ record: true });
  const player = await openVirtualPlayer({ plan: planOfRows(rows), durationMicros: 2000, outputs: [] }, [
    { port },
  ]);
  player.advanceTo(5_000_000);
  expect(noteOnsAfter(port, 0)).toHaveLength(64);
  expect(soundingOf(port)).toBe(0);
});

const row = fc
  .tuple(
    fc.integer({ min: 0, max: 1_500_000 }),
    fc.constantFrom(0x80, 0x90, 0x90, 0x90, 0xb0),
    fc.integer({ min: 0, max: CHANNELS - 1 }),
    fc.integer({ min: 0, max: 5 }),
    fc.integer({ min: 0, max: 127 }),
  )
  .map(
    ([micros, kind, channel, place, value]): Row =>
      kind === 0xb0 ? [micros, kind | channel, 7, value] : [micros, kind | channel, 60 + place, value],
  );
const song = fc
  .array(row, { minLength: 200, maxLength: 900, size: 'max' })
  .map((rows) =>
    rows
      .map(([micros, ...bytes], i): Row => [i % 5 === 0 ? micros : micros - (micros % 500_000), ...bytes])
      .sort((a, b) => a[0] - b[0]),
  );
const channel = fc.integer({ min: 0, max: CHANNELS - 1 });
const command: fc.Arbitrary<Command> = fc.oneof(
  {
    weight: 3,
    arbitrary: fc
      .tuple(channel, fc.boolean())
      .map(([channel, on]): Command => ({ kind: 'mute', channel, on })),
  },
  {
    weight: 3,
    arbitrary: fc
      .tuple(channel, fc.boolean())
      .map(([channel, on]): Command => ({ kind: 'solo', channel, on })),
  },
  { weight: 1, arbitrary: channel.map((channel): Command => ({ kind: 'silence-channel', channel })) },
  { weight: 1, arbitrary: fc.constant<Command>({ kind: 'silence-all' }) },
);
const steps = fc.array(fc.tuple(fc.integer({ min: 0, max: 200_000 }), command), {
  minLength: 1,
  maxLength: 15,
});

test('no note-on of a channel that one does not hear is handed over, and each has its note-off', async () => {
  await fc.assert(
    fc.asyncProperty(song, steps, fc.integer({ min: 3, max: 64 }), async (rows, commands, capacityBytes) => {
      const port = new MockPort({ record: true, capacityBytes });
      const player = await openVirtualPlayer(
        { plan: planOfRows(rows), durationMicros: 1_600_000, outputs: [] },
        [{ port }],
      );
      const muted = new Set<number>();
      const soloed = new Set<number>();
      const isHeard = (channel: number) => !muted.has(channel) && (soloed.size === 0 || soloed.has(channel));
      let now = 0;
      const reader = new WireReader();
      let taken = 0;
      const judge = () => {
        const before = reader.noteOns.length;
        reader.read(port.recorded().bytes.subarray(taken));
        taken = port.bytesTaken;
        for (const { channel } of reader.noteOns.slice(before))
          expect(isHeard(channel), `${channel}`).toBe(true);
      };
      for (const [wait, command] of commands) {
        now += wait;
        if (!player.advanceTo(now)) break;
        judge();
        player.send(command);
        if (command.kind !== 'mute' && command.kind !== 'solo') continue;
        const set = command.kind === 'mute' ? muted : soloed;
        if (command.on) set.add(command.channel);
        else set.delete(command.channel);
      }
      player.advanceTo(now + 300_000);
      judge();
      await player.close();
      judge();
      expect(reader.sounding).toBe(0);
      expect(reader.faults).toEqual([]);
    }),
    { numRuns: 40 },
  );
});
