import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import type { ObservedState } from '../../../src/core/observe/observed-state.ts';
import { paintPitchStrip } from '../../../src/screen/lanes/pitch-strip.ts';
import type { Scene } from '../../../src/screen/scene/scene.ts';
import { themeOf } from '../../../src/screen/theme/theme.ts';
import { painted, sceneWith } from '../../support/scene.ts';

function strike(
  observed: ObservedState,
  key: number,
  velocity: number,
  onsetMicros = 5_000_000,
  channel = 0,
): void {
  observed.velocity[channel * 128 + key] = velocity;
  observed.strikes[channel * 128 + key] = 1;
  observed.onsetMicros[channel * 128 + key] = onsetMicros;
}

function strip(width: number, height: 1 | 2, scene: Scene, channel = 0) {
  return painted(width, height, (grid) =>
    paintPitchStrip(grid, { x: 0, y: 0, width, height }, channel, scene),
  );
}

/** Dots of a braille cell (Unicode, U+2800: dots 1–8 are bits 0–7). */
function dotsAt(line: string, cell: number): number {
  return (line.codePointAt(cell) ?? 0x2800) - 0x2800;
}

test('every key has its half cell: 64 cells are 128 keys', () => {
  for (let key = 0; key < 128; key += 1) {
    const observed = createObservedState();
    strike(observed, key, 127);
    const { lines } = strip(64, 1, sceneWith({ observed, nowMicros: 5_000_000 }));
    const cell = key >> 1;
    expect(dotsAt(lines[0]!, cell)).toBe(key % 2 === 0 ? 0x47 : 0xb8);
    expect(lines[0]!.trim()).toHaveLength(1);
  }
});

test('a louder note stands higher, and in one row of cells has at least two dots', () => {
  const heights = [1, 40, 90, 127].map((velocity) => {
    const observed = createObservedState();
    strike(observed, 0, velocity);
    const { lines } = strip(64, 1, sceneWith({ observed, nowMicros: 5_000_000 }));
    return dotsAt(lines[0]!, 0).toString(2).replaceAll('0', '').length;
  });
  expect(heights).toEqual([2, 2, 4, 4]);
});

test('in two rows of cells a loud note reaches the upper one and a soft one does not', () => {
  const observed = createObservedState();
  strike(observed, 0, 127);
  strike(observed, 2, 10);
  const { lines } = strip(64, 2, sceneWith({ observed, nowMicros: 5_000_000 }));
  expect(lines[0]).toHaveLength(1);
  expect(dotsAt(lines[1]!, 1)).toBe(0x44);
});

test('a key let go a moment ago leaves one dot, and after a while nothing', () => {
  const observed = createObservedState();
  observed.onsetMicros[0] = 5_000_000;
  expect(dotsAt(strip(64, 1, sceneWith({ observed, nowMicros: 6_000_000 })).lines[0]!, 0)).toBe(0x40);
  expect(strip(64, 1, sceneWith({ observed, nowMicros: 9_000_000 })).lines[0]).toBe('');
});

test('what only the pedal holds stays as one dot', () => {
  const observed = createObservedState();
  observed.pedalHeld[0] = 1;
  observed.onsetMicros[0] = 5_000_000;
  expect(dotsAt(strip(64, 1, sceneWith({ observed, nowMicros: 60_000_000 })).lines[0]!, 0)).toBe(0x40);
});

test('a stuck note has the stuck style', () => {
  const observed = createObservedState();
  strike(observed, 60, 80);
  const stuck = [
    {
      channel: 0,
      key: 60,
      velocity: 80,
      cause: 'too-long',
      ageMicros: 1,
      beganSongMicros: -1,
      releasedChannel: -1,
    },
  ] as const;
  const scene = sceneWith({ observed, stuck, nowMicros: 5_000_000 });
  const { grid } = strip(64, 1, scene);
  expect(grid.style[30]).toBe(scene.theme.styles.stuck);
});

test('another channel shows nothing of it', () => {
  const observed = createObservedState();
  strike(observed, 60, 80);
  expect(strip(64, 1, sceneWith({ observed, nowMicros: 5_000_000 }), 1).lines[0]).toBe('');
});

test('with --ascii velocity is told by the sign', () => {
  const theme = themeOf({ palette: 'none', ascii: true });
  const observed = createObservedState();
  for (const [at, velocity] of [10, 64, 120].entries()) strike(observed, at * 8, velocity);
  observed.onsetMicros[40] = 4_500_000;
  expect(strip(32, 1, sceneWith({ observed, theme, nowMicros: 5_000_000 })).lines[0]).toBe('- + #     .');
});
