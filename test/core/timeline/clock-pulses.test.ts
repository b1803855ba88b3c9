import { describe, expect, test } from 'vitest';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { clockMicrosOf } from '../../../src/core/timeline/clock-pulses.ts';
import { end, songOf, tempo } from './song-of.ts';

describe('MIDI clock, 24 a quarter (MIDI 1.0, p. 30)', () => {
  test('120 quarters a minute: a pulse every 20.8333 ms, none drifting', () => {
    const micros = clockMicrosOf(buildTimeline(songOf({ division: 480, tracks: [[end(480 * 240)]] })));
    expect(micros).toHaveLength(24 * 240 + 1);
    expect([...micros.slice(0, 4)]).toEqual([0, 20_833, 41_667, 62_500]);
    expect(micros.at(-1)).toBe(120_000_000);
    expect(micros.buffer).toBeInstanceOf(SharedArrayBuffer);
  });

  test('follows the tempo in mid-quarter, with ticks that 24 does not divide', () => {
    const micros = clockMicrosOf(
      buildTimeline(songOf({ division: 10, tracks: [[tempo(5, 1_000_000), end(10)]] })),
    );
    expect(micros[12]).toBe(250_000);
    expect(micros[13]).toBe(291_667);
    expect(micros[24]).toBe(750_000);
  });

  test('SMPTE ticks: half a second is a quarter, even where it is 12.5 frames', () => {
    const division = { kind: 'smpte', framesPerSecond: 25, ticksPerFrame: 1 } as const;
    const micros = clockMicrosOf(buildTimeline(songOf({ division, tracks: [[end(25)]] })));
    expect(micros).toHaveLength(49);
    expect(micros[24]).toBe(500_000);
    expect(micros[48]).toBe(1_000_000);
  });
});
