import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { laneColumnsFor } from '../../../src/screen/lanes/lane-columns.ts';
import { paintLanes } from '../../../src/screen/lanes/lane-painter.ts';
import type { Scene } from '../../../src/screen/scene/scene.ts';
import { FIRST_STATE } from '../../../src/screen/state/screen-state.ts';
import { painted, sceneWith, touch } from '../../support/scene.ts';

const NOW = 10_000_000;
const LANE = laneColumnsFor(80);

function lanes(parts: Partial<Scene>) {
  const scene = sceneWith({ nowMicros: NOW, ...parts });
  return { scene, ...painted(80, 16, (grid, area) => paintLanes(grid, area, scene, 1, 1)) };
}

test('a channel on which nothing was sent shows its number and nothing else', () => {
  const { lines } = lanes({});
  expect(lines.map((line) => line.trim())).toEqual([
    '▸ 1',
    ...Array.from({ length: 15 }, (_, at) => String(at + 2)),
  ]);
});

test('a lane on which fitting left nothing says why, until something is sent on it', () => {
  const emptied = new Map([
    [4, 'plays on 3'],
    [9, 'left out: no drums'],
  ]);
  const observed = createObservedState();
  const song = { ...sceneWith({}).song, emptied };
  const { lines, scene, grid } = lanes({ observed, song });
  expect([lines[4], lines[9]].map((line) => line!.trim())).toEqual([
    '5  plays on 3',
    '10  left out: no drums',
  ]);
  expect(grid.style[4 * 80 + LANE.name]).toBe(scene.theme.styles.faint);
  touch(observed, 9, NOW);
  expect(lanes({ observed, song }).lines[9]).not.toContain('left out');
});

test('program names are those of General MIDI, and the kit stands on channel 10', () => {
  const observed = createObservedState();
  for (const channel of [2, 9]) touch(observed, channel, NOW);
  observed.program[2] = 70;
  const { lines } = lanes({ observed });
  expect(lines[2]).toContain('Bassoon');
  expect(lines[9]).toContain('Drums');
});

test('a lane that plays, or would, without a program says so; one that was only silenced stays quiet', () => {
  const observed = createObservedState();
  for (const channel of [0, 1, 2]) touch(observed, channel, NOW);
  observed.noteOns[0] = 1;
  observed.heldBack[1] = 1;
  const { lines } = lanes({ observed });
  expect(lines.slice(0, 3).map((line) => line.includes('(no program sent)'))).toEqual([true, true, false]);
});

test('a program change flashes for a second', () => {
  const observed = createObservedState();
  touch(observed, 0, NOW);
  observed.program[0] = 0;
  observed.programChangedMicros[0] = NOW - 1_000_000;
  const flashing = lanes({ observed });
  expect(flashing.grid.style[LANE.name]).toBe(flashing.scene.theme.styles.flash);
  observed.programChangedMicros[0] = NOW - 3_000_000;
  const still = lanes({ observed });
  expect(still.grid.style[LANE.name]).not.toBe(still.scene.theme.styles.flash);
});

test('mute, solo, and lanes that wait for a solo each have their letter', () => {
  const observed = createObservedState();
  for (const channel of [0, 1, 2]) touch(observed, channel, NOW);
  observed.muted[0] = 1;
  observed.soloed[1] = 1;
  const { lines } = lanes({ observed });
  expect(lines.slice(0, 4).map((line) => line[LANE.sign] ?? '')).toEqual(['M', 'S', 'w', '']);
});

test('a muted lane that received notes says so for a second', () => {
  const observed = createObservedState();
  touch(observed, 0, NOW);
  observed.muted[0] = 1;
  observed.heldBack[0] = 1;
  const heldBackAtMicros = new Float64Array(16).fill(-1);
  heldBackAtMicros[0] = NOW - 500_000;
  expect(lanes({ observed, heldBackAtMicros }).lines[0]![LANE.heldBack]).toBe('»');
  heldBackAtMicros[0] = NOW - 1_500_000;
  expect(lanes({ observed, heldBackAtMicros }).lines[0]![LANE.heldBack]).toBe(' ');
});

test('count, pedal, bend and volume stand at the right', () => {
  const observed = createObservedState();
  touch(observed, 0, NOW);
  observed.sounding[0] = 12;
  observed.controller[64] = 127;
  observed.bend[0] = 0;
  observed.controller[7] = 127;
  const [line] = lanes({ observed }).lines;
  expect(line!.slice(LANE.count, LANE.count + 2)).toBe('12');
  expect(line![LANE.pedal]).toBe('▂');
  expect(line!.slice(LANE.bend, LANE.bend + 3)).toBe('↓99');
  expect(line!.slice(LANE.volume)).toBe('█ 127');
});

test('a lane whose velocity, key or program the person changed is marked', () => {
  for (const change of ['velocityTrim', 'channelTranspose', 'programOverride'] as const) {
    const observed = createObservedState();
    touch(observed, 0, NOW);
    observed[change][0] = 5;
    expect(lanes({ observed }).lines[0]![LANE.changed]).toBe('≠');
  }
});

test('a stuck note marks its lane, one that only the pedal holds does not', () => {
  const note = { channel: 3, key: 60, velocity: 0, ageMicros: 1, beganSongMicros: -1, releasedChannel: -1 };
  const observed = createObservedState();
  touch(observed, 3, NOW);
  const hanging = lanes({ observed, stuck: [{ ...note, cause: 'too-long' }] });
  expect(hanging.lines[3]![LANE.stuck]).toBe('!');
  expect(lanes({ observed, stuck: [{ ...note, cause: 'held-by-pedal' }] }).lines[3]).not.toContain('!');
});

test('the chosen lane has the cursor', () => {
  const { lines } = lanes({ state: { ...FIRST_STATE, lane: 15 } });
  expect(lines.findIndex((line) => line.startsWith('▸'))).toBe(15);
});

test('two bands put channel 9 beside channel 1', () => {
  const scene = sceneWith({ nowMicros: NOW });
  const { lines } = painted(40, 8, (grid, area) => paintLanes(grid, area, scene, 2, 1));
  expect(lines[0]).toBe(`▸ 1${' '.repeat(19)}9`);
  expect(lines[7]).toBe(`  8${' '.repeat(18)}16`);
});
