import { expect, test } from 'vitest';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { planOfRows } from '../fixtures/plan-of-rows.ts';

const YEAR = 365.25 * 86_400_000_000;

test('on a virtual clock Active Sensing does not fill the years of a song that waits', async () => {
  const plan = planOfRows([
    [0, 0x90, 60, 100],
    [1000 * YEAR, 0x80, 60, 64],
  ]);
  const port = new MockPort();
  const player = await openVirtualPlayer(
    { plan, durationMicros: 1000 * YEAR, outputs: [], activeSensing: true },
    [{ port }],
  );
  expect(player.advanceTo(1001 * YEAR)).toBe(false);
  // A minute of it is 250 bytes; eighty minutes are what it may take at the most.
  expect(port.bytesTaken).toBeGreaterThan(19_000);
  expect(port.bytesTaken).toBeLessThan(21_000);
  expect((await player.ended).kind).toBe('ended');
});
