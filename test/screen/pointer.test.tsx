import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../src/screen/cells/grid-text.ts';
import { dialogArea } from '../../src/screen/dialogs/dialog-area.ts';
import { KEY_TABLE, rowFor } from '../../src/screen/keys/key-table.ts';
import { pressKey, pressPointed } from '../../src/screen/keys/press-key.ts';
import { listeningView } from '../../src/screen/listen/listening-view.ts';
import { barCell, songBar } from '../../src/screen/panels/position-painter.ts';
import { pointedAt } from '../../src/screen/pointed-at.ts';
import { keysOfWheel } from '../../src/screen/pointer/keys-of-wheel.ts';
import { POINTER_TABLE } from '../../src/screen/pointer/pointed.ts';
import { layoutFor } from '../../src/screen/scene/layout.ts';
import { screenParts } from '../../src/screen/screen-parts.ts';
import { DIALOGS } from '../../src/screen/state/screen-state.ts';
import type { Mouse } from '../../src/screen/terminal/mouse.ts';
import { sceneWith } from '../support/scene.ts';
import { screenSong } from '../support/screen-song.ts';

const SIZES = [
  [40, 12],
  [80, 24],
  [120, 40],
  [160, 50],
] as const;

const click = (x: number, y: number, button: Mouse['button'] = 'left'): Mouse => ({ button, x, y });

/** The lanes and panels as painted, with every channel muted, and what a click on each cell means. */
function screen(columns: number, rows: number, song = screenSong()) {
  const observed = createObservedState();
  observed.muted.fill(1);
  const scene = sceneWith({ observed, song });
  const parts = screenParts(columns, rows, song, scene.theme);
  const grid = new CellGrid(columns, rows);
  for (const part of parts) {
    grid.clip(part.area);
    if ('paint' in part) part.paint(grid, part.area, scene);
  }
  grid.clip();
  const at = (x: number, y: number, button?: Mouse['button']) =>
    pointedAt(click(x, y, button), parts, undefined);
  return { lines: gridText(grid).split('\n'), at, parts, scene };
}

describe.each(SIZES)('a click at %ix%i means what is painted there', (columns, rows) => {
  const { lines, at, scene } = screen(columns, rows);
  const layout = layoutFor(columns, rows)!;

  test('the M of each lane mutes it, with the right button it is solo', () => {
    const seen = new Set<number>();
    for (const [y, line] of lines.entries()) {
      for (const { index, 1: channel } of line.matchAll(/(?<=^|\s|▸)(\d{1,2})M/g)) {
        const x = index + channel!.length;
        expect(line[x]).toBe('M');
        expect(at(x, y)).toEqual({ action: 'mute', count: Number(channel) });
        expect(at(x, y, 'right')).toEqual({ action: 'solo', count: Number(channel) });
        expect(at(index, y)).toEqual({ action: 'choose-lane', count: Number(channel) });
        seen.add(Number(channel));
      }
    }
    expect(seen.size).toBe(16);
  });

  test('each cell of the lanes belongs to one of them; nothing else does', () => {
    const counts = new Array<number>(17).fill(0);
    for (let y = 0; y < rows; y += 1)
      for (let x = 0; x < columns; x += 1) {
        const pointed = at(x, y);
        const inLanes = y >= layout.lanes.y && y < layout.lanes.y + layout.lanes.height;
        const isLane = pointed !== undefined && pointed.action !== 'go-to-percent';
        expect(isLane && !inLanes, `${x},${y}`).toBe(false);
        if (isLane) counts[pointed.count]! += 1;
      }
    const cells = Math.floor(columns / layout.bands) * layout.laneRows;
    expect(counts.slice(1)).toEqual(new Array(16).fill(cells));
  });

  test('each cell of the position bar goes to the place that is shown in that cell', () => {
    const { song } = scene;
    const { x, width } = songBar(layout.position);
    for (let row = 0; row < layout.position.height; row += 1)
      for (let cell = 0; cell < width; cell += 1) {
        const pointed = at(x + cell, layout.position.y + row)!;
        const [command] = pressPointed(pointed, scene).commands;
        if (command?.kind !== 'seek') throw new Error('no seek');
        expect(barCell(command.micros, song.durationMicros, width)).toBe(cell);
      }
    expect(at(x - 1, layout.position.y)).toBeUndefined();
    expect(at(x + width, layout.position.y)).toBeUndefined();
  });

  test('under a dialog nothing is clicked', () => {
    const { parts } = screen(columns, rows);
    for (const dialog of DIALOGS) {
      if (dialog === 'none') continue;
      const cover = dialogArea(layout, dialog);
      const middle = click(cover.x + 2, cover.y + 1);
      expect(pointedAt(middle, parts, cover), dialog).toBeUndefined();
    }
  });
});

describe('a click presses an action of the key table', () => {
  const { scene } = screen(80, 24);

  test('with the number that would be typed before its key', () => {
    for (const [, , action] of POINTER_TABLE) {
      const row = KEY_TABLE.find((each) => each.action === action)!;
      expect(row.number).toBe(true);
      const keyed = pressKey(row.keys[0]!, { ...scene, state: { ...scene.state, digits: '12' } });
      expect(pressPointed({ action, count: 12 }, scene)).toEqual(keyed);
    }
  });

  test('also what it may not do: while listening without --thru a lane cannot be muted, and there is no bar', () => {
    const song = listeningView('stdin', true);
    const { at, scene: listening } = screen(80, 24, song);
    const layout = layoutFor(80, 24)!;
    expect(at(30, layout.position.y)).toBeUndefined();
    const effect = pressPointed(at(3, layout.lanes.y)!, listening);
    expect(effect.commands).toEqual([]);
    expect(effect.state.said?.text).toContain('--thru');
  });

  test('a notch of the wheel is an arrow that has a meaning in every dialog', () => {
    for (const dialog of DIALOGS) {
      const keys = [...keysOfWheel('wheel-up', dialog), ...keysOfWheel('wheel-down', dialog)];
      for (const key of keys) expect(rowFor(key, dialog), `${key} in ${dialog}`).toBeDefined();
    }
    expect(keysOfWheel('wheel-down', 'songs')).toEqual(['down']);
    expect(keysOfWheel('wheel-up', 'help')).toEqual(['up', 'up', 'up']);
  });
});
