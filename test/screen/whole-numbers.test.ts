import { describe, expect, test } from 'vitest';
import { Fault } from '../../src/core/midi/stream-fault.ts';
import { createListenState, foldFault, Heard } from '../../src/core/observe/listen-state.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../src/screen/cells/grid-text.ts';
import { dialogArea } from '../../src/screen/dialogs/dialog-area.ts';
import { paintLaneDetail } from '../../src/screen/dialogs/lane-detail-painter.ts';
import { paintLog } from '../../src/screen/dialogs/log-painter.ts';
import { paintSongList } from '../../src/screen/dialogs/song-list-painter.ts';
import { paintStuckList } from '../../src/screen/dialogs/stuck-painter.ts';
import { listeningView } from '../../src/screen/listen/listening-view.ts';
import { layoutFor } from '../../src/screen/scene/layout.ts';
import type { Scene } from '../../src/screen/scene/scene.ts';
import { screenParts } from '../../src/screen/screen-parts.ts';
import { FIRST_STATE } from '../../src/screen/state/screen-state.ts';
import { playIntoObserved } from '../support/play-into-observed.ts';
import { sceneWith } from '../support/scene.ts';
import { screenSong } from '../support/screen-song.ts';

const NOW = 9_000_000;
const DIALOGS = {
  lane: paintLaneDetail,
  log: paintLog,
  songs: paintSongList,
  stuck: paintStuckList,
} as const;

/** A song of which every figure is long. */
function longScene(parts: Partial<Scene> = {}): Scene {
  const song = {
    ...screenSong(),
    plannedWorst: () => ({ songMicros: 31_000_000, latenessMicros: 123_456_000 }),
  };
  const observed = playIntoObserved(song.timeline!, NOW);
  observed.velocity.forEach((velocity, at) => {
    if (velocity > 0) observed.velocity[at] = 110;
  });
  observed.bytes.fill(22_678);
  observed.heldBack.fill(1_234);
  observed.numbers[Slot.bytesSent] = 362_848;
  observed.numbers[Slot.worstOnsetLatenessMicros] = 1_234_567;
  observed.numbers[Slot.worstOnsetSongMicros] = 30_600_000;
  observed.numbers[Slot.worstHandoverLatenessMicros] = 987_654;
  observed.numbers[Slot.stalls] = 1_234;
  observed.numbers[Slot.skippedNoteOns] = 5_678;
  observed.numbers[Slot.heldSysEx] = 91;
  observed.numbers[Slot.transpose] = -24;
  observed.numbers[Slot.tempoScale] = 0.25;
  observed.numbers[Slot.loopFromMicros] = 20_000_000;
  observed.numbers[Slot.loopToMicros] = 30_000_000;
  observed.bend[0] = 1_234;
  return sceneWith({
    observed,
    song,
    nowMicros: NOW,
    stuck: Array.from({ length: 60 }, (_, at) => ({
      channel: at % 16,
      key: 40 + at,
      velocity: 110,
      cause: 'other-channel' as const,
      ageMicros: 71_000_000 + at * 1_000_000,
      beganSongMicros: 30_000_000,
      releasedChannel: 15 - (at % 6),
    })),
    songs: Array.from({ length: 1_234 }, (_, at) => ({
      path: `${at}`,
      name: `disc 12345/song ${at * 7_919}.mid`,
      title: `Opus ${at * 104_729} in ${at} parts`,
      durationMicros: 4_567_000_000,
      verdict: '12345 ms late at 1234:12',
      good: false,
    })),
    ...parts,
    state: {
      ...FIRST_STATE,
      row: 500,
      log: Array.from({ length: 60 }, (_, at) => ({
        atMicros: 4_567_000_000,
        where: '1234:12',
        text: `channel ${at} program 12345 of ${at * 104_729}, and so many words that no row holds them all`,
      })),
    },
  });
}

function heardScene(): Scene {
  const listen = createListenState();
  listen.numbers[Heard.messages] = 1_234_567;
  listen.numbers[Heard.bytes] = 23_456_789;
  listen.numbers[Heard.passedOn] = 34_567;
  foldFault(listen, Fault.truncated, 7_654_321, 2, 0x93, 0x40, 7_400_000);
  return longScene({ listen, song: listeningView('serial:/dev/ttyUSB12345') });
}

function numbersIn(grid: CellGrid): Set<string> {
  return new Set(gridText(grid).match(/\d+/g));
}

/** Of the numbers in `grid` those that are the head of a number which a screen with room for everything has. */
function brokenIn(grid: CellGrid, whole: ReadonlySet<string>): string[] {
  return [...numbersIn(grid)].filter(
    (number) => !whole.has(number) && [...whole].some((longer) => longer.startsWith(number)),
  );
}

function paintedScreen(scene: Scene, columns: number, rows: number): CellGrid {
  const grid = new CellGrid(columns, rows);
  for (const part of screenParts(columns, rows, scene.song, scene.theme)) {
    grid.clip(part.area);
    if ('paint' in part) part.paint(grid, part.area, scene);
  }
  return grid;
}

function paintedDialog(scene: Scene, dialog: keyof typeof DIALOGS, columns: number, rows: number): CellGrid {
  const grid = new CellGrid(columns, rows);
  DIALOGS[dialog](grid, { x: 0, y: 0, width: columns, height: rows }, scene);
  return grid;
}

describe('no number on the screen is the head of a longer one, at any size', () => {
  const sizes: [number, number][] = [];
  for (let columns = 40; columns <= 132; columns += columns < 84 ? 1 : 7) {
    for (const rows of [12, 13, 16, 21, 24, 31, 40, 50]) sizes.push([columns, rows]);
  }

  test.each([
    ['a song', longScene],
    ['an input', heardScene],
  ])('the lanes and panels of %s', (_, make) => {
    const scene = make();
    const whole = numbersIn(paintedScreen(scene, 400, 60));
    for (const [columns, rows] of sizes) {
      const grid = paintedScreen(scene, columns, rows);
      expect(brokenIn(grid, whole), `${columns}x${rows}\n${gridText(grid)}`).toEqual([]);
    }
  });

  test.each(Object.keys(DIALOGS) as (keyof typeof DIALOGS)[])('the dialog %s', (dialog) => {
    const long = longScene();
    const scene = { ...long, state: { ...long.state, dialog } };
    const whole = numbersIn(paintedDialog(scene, dialog, 400, 1_300));
    expect(whole.size).toBeGreaterThan(3);
    for (const [columns, rows] of sizes) {
      const { width, height } = dialogArea(layoutFor(columns, rows)!, dialog);
      const grid = paintedDialog(scene, dialog, width, height - 2);
      expect(brokenIn(grid, whole), `${columns}x${rows}\n${gridText(grid)}`).toEqual([]);
    }
  });
});
