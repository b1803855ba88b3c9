import { expect, test } from 'vitest';
import type { LostClock } from '../../../src/core/follow/follow-state.ts';
import { songPosition } from '../../../src/core/observe/song-position.ts';
import { ScriptedInput } from '../../../src/engine/input/scripted-input.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const S = 1_000_000;
const PERIOD = 500_000 / 24;
/** A quarter note on a key of its own each, so that one struck twice is seen. */
const ROWS: Row[] = Array.from({ length: 24 }, (_, n): Row[] => [
  [n * 0.5 * S, 0x90, 40 + n, 100],
  [(n + 0.96) * 0.5 * S, 0x80, 40 + n, 64],
]).flat();
const PULSES = Float64Array.from({ length: 24 * 24 + 1 }, (_, n) => n * PERIOD);
const START = S;
const FIRST = START + 30_000;

interface Stall {
  readonly from: number;
  readonly to: number;
  /** The whole process stood, so that what came meanwhile is stamped in a burst as it goes on; else the sender alone. */
  readonly whole: boolean;
}

/** A clock of this period: some pulses before Start, 150 behind it, each with the moment at which it is stamped. */
function clockOf(lead: number, period: number, { from, to, whole }: Stall): ScriptedInput {
  const feed = new ScriptedInput();
  let free = 0;
  const come = (micros: number, status: number): void => {
    const stamped = whole && micros > from && micros < to ? to : micros;
    free = Math.max(stamped, free + 320);
    feed.add(free, Uint8Array.of(status));
  };
  for (let n = lead; n > 0; n -= 1) come(START - n * period, 0xf8);
  come(START, 0xfa);
  for (let n = 0; n < 150; n += 1) come(FIRST + n * period, 0xf8);
  return feed;
}

test.each<[string, boolean, LostClock]>([
  ['the sender stands, the clock is lost for good', false, 'pause'],
  ['the sender stands, the music would go on', false, 'continue'],
  ['all stands, the clock is lost for good', true, 'pause'],
  ['all stands, the music would go on', true, 'continue'],
])('a stall about the first note strikes nothing twice: %s', async (_what, whole, onLost) => {
  for (const lead of [0, 6, 30]) {
    for (const period of [PERIOD, PERIOD * 1.6]) {
      for (const after of [-20_000, 100, 5000, 60_000, 200_000]) {
        for (const length of [0.25, 0.31, 1, 1.05, 2.1]) {
          const stall = { from: FIRST + after, to: FIRST + after + length * S, whole };
          const port = new MockPort({ record: true });
          const feed = clockOf(lead, period, stall);
          const player = await openVirtualPlayer(
            {
              plan: planOfRows(ROWS),
              durationMicros: 12 * S,
              outputs: [],
              follow: { pulseMicros: PULSES, onLost },
            },
            [{ port }],
            [{ feed, clock: true, visitor: false }],
          );
          player.advanceTo(stall.from);
          player.stallTo(stall.to);
          player.advanceTo(FIRST + 149.5 * period);
          const where = songPosition(player.observed, player.nowMicros());
          await player.close();
          const reader = new WireReader();
          reader.read(port.recorded().bytes);
          const keys = reader.noteOns.map(({ key }) => key - 40);
          const what = `${lead} before, period ${period / PERIOD}, at ${after} for ${length}: ${keys.join(' ')}`;
          expect(new Set(keys).size, what).toBe(keys.length);
          expect(reader.sounding, what).toBe(0);
          // Where nothing was known of the tempo, or the song ran on alone, the nearest pulse is what is known.
          if (lead > 0 && onLost === 'pause') {
            expect(Math.abs(where - 149.5 * PERIOD), what).toBeLessThan(1.5 * PERIOD);
          }
        }
      }
    }
  }
});
