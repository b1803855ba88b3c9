import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

/** A note on each of sixteen channels, held; then, at two seconds, three at one moment. */
const ROWS: Row[] = [
  ...Array.from({ length: 16 }, (_, channel): Row => [0, 0x90 | channel, 60, 90]),
  ...[60, 64, 67].map((key): Row => [2_000_000, 0x90, key, 90]),
  [4_000_000, 0x80, 60, 64],
];

async function worstWith(isSilenced: boolean) {
  const player = await openVirtualPlayer({
    plan: planOfRows(ROWS),
    durationMicros: 4_000_000,
    outputs: [{ port: 'mock' }],
    startMicros: 1_000_000, // so that the first chord does not count
  });
  player.advanceTo(999_990);
  if (isSilenced) player.send({ kind: 'silence-all' });
  player.advanceTo(2_500_000);
  const { numbers } = player.observed;
  const found = {
    worst: numbers[Slot.worstOnsetLatenessMicros],
    at: numbers[Slot.worstOnsetSongMicros],
    bytes: numbers[Slot.bytesSent]!,
    onset: player.observed.onsetMicros[60]!,
  };
  await player.close();
  return found;
}

describe('the worst onset is the music’s own', () => {
  test('a silence of everything just before a chord makes it late, and is not counted', async () => {
    const [undisturbed, silenced] = [await worstWith(false), await worstWith(true)];
    // Three notes with running status: 7 bytes of 320 µs (MIDI 1.0, p. 5).
    expect(undisturbed).toMatchObject({ worst: 7 * 320, at: 2_000_000, onset: 1_000_000 });
    expect(silenced.bytes).toBeGreaterThan(undisturbed.bytes + 60);
    expect(silenced.onset).toBeGreaterThan(1_000_000 + 60 * 320);
    expect(silenced).toMatchObject({ worst: 7 * 320, at: 2_000_000 });
  });
});
