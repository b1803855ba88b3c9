import { expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { runVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const HOUR = 3_600_000_000;
/** A note an hour long: more than one slice of the clock. */
const ROWS: Row[] = [
  [0, 0x90, 60, 90],
  [HOUR, 0x80, 60, 64],
];
const options = (more = {}) => ({
  plan: planOfRows(ROWS),
  durationMicros: HOUR,
  outputs: [{ port: 'mock' }],
  ...more,
});

test('runs by itself to the end of the song, as fast as it can', async () => {
  const player = await runVirtualPlayer(options());
  expect(await player.ended).toEqual({ kind: 'ended' });
  expect(player.observed.numbers[Slot.noteOnsSent]).toBe(1);
  expect(player.observed.sounding[0]).toBe(0);
  expect(player.nowMicros()).toBeGreaterThanOrEqual(HOUR);
});

test('stands while nothing runs, and goes on when it is told to', async () => {
  const player = await runVirtualPlayer(options({ autoPlay: false }));
  await new Promise((resolve) => setTimeout(resolve, 30)); // longer than it waits between two looks
  expect(player.observed.numbers[Slot.transport]).toBe(Transport.stopped);
  expect(player.observed.numbers[Slot.noteOnsSent]).toBe(0);
  player.send({ kind: 'play' });
  expect(await player.ended).toEqual({ kind: 'ended' });
  expect(player.observed.numbers[Slot.noteOnsSent]).toBe(1);
});

test('can be left at any moment: what sounds is silenced', async () => {
  const player = await runVirtualPlayer(options());
  await player.close();
  expect(await player.ended).toEqual({ kind: 'quit' });
  expect(player.observed.sounding[0]).toBe(0);
});
