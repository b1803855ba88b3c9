import { describe, expect, it } from 'vitest';
import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import { App } from '../../src/screen/app.tsx';
import { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../src/screen/cells/grid-text.ts';
import { openTestScreen } from '../../src/screen/ink-frame/open-test-screen.ts';
import { openingFrame } from '../../src/screen/opening-frame.ts';
import { SceneMaker } from '../../src/screen/scene/scene-maker.ts';
import { ScreenStore } from '../../src/screen/state/screen-store.ts';
import { NO_LOAD, type SongView } from '../../src/screen/state/song-view.ts';
import { CellDifference } from '../../src/screen/terminal/cell-difference.ts';
import { type ThemeChoice, themeOf } from '../../src/screen/theme/theme.ts';
import { screenSong } from '../support/screen-song.ts';

const LONG = 'A very long title of a song that goes on and on until it meets the transport and on';

interface Case {
  readonly name: string;
  readonly size: readonly [columns: number, rows: number];
  readonly song?: Partial<SongView>;
  readonly theme?: Partial<ThemeChoice>;
  /** What must be there, so that two blank screens do not count as equal. */
  readonly shows: string;
}

const CASES: readonly Case[] = [
  { name: '80x24', size: [80, 24], shows: 'Harbour Lights' },
  { name: '120x40', size: [120, 40], shows: 'worst onset' },
  { name: '40x12', size: [40, 12], shows: 'nothing sent' },
  { name: '160x50', size: [160, 50], shows: 'stuck' },
  {
    name: '80x24 in ASCII without colours',
    size: [80, 24],
    theme: { palette: 'none', ascii: true },
    shows: 'wire',
  },
  { name: 'a title that is cut', size: [80, 24], song: { title: LONG }, shows: 'A very long title' },
  {
    name: 'a title that is cut within a wide character',
    size: [81, 24],
    song: { title: '長い'.repeat(30) },
    shows: '長い',
  },
  { name: 'no title, a file name', size: [80, 24], song: { title: '' }, shows: 'harbour.mid' },
  { name: 'lyrics', size: [80, 24], song: { ...screenSong({ lyrics: true }) }, shows: 'Harbour Lights' },
  { name: 'too small', size: [30, 8], shows: 'need 40x12 cells' },
  { name: 'hardly any', size: [7, 3], shows: 'music' },
];

/** What the program knows before there is a plan. */
function songOf(parts: Partial<SongView> = {}): SongView {
  return { ...screenSong(), notes: undefined, load: () => NO_LOAD, plannedWorst: undefined, ...parts };
}

function opening(columns: number, rows: number, song: SongView, theme: ThemeChoice): CellGrid {
  const grid = new CellGrid(columns, rows);
  // What was there before does not show through.
  grid.glyph.fill(0x23);
  openingFrame(song, theme).compose(grid);
  return grid;
}

async function inkFrame(
  columns: number,
  rows: number,
  song: SongView,
  theme: ThemeChoice,
): Promise<CellGrid> {
  const store = new ScreenStore();
  const player = { observed: createObservedState(), nowMicros: () => 0 };
  const scenes = new SceneMaker({ player, song, songs: () => [], store, theme: themeOf(theme) });
  const screen = openTestScreen(columns, rows);
  screen.render(<App store={store} scenes={scenes} onKey={() => {}} />);
  await screen.settle();
  const grid = screen.grid();
  screen.close();
  return grid;
}

describe('the frame painted before Ink is loaded is the one that Ink draws', () => {
  it.each(CASES)('$name', async ({ size: [columns, rows], song, theme, shows }) => {
    const view = songOf(song);
    const choice: ThemeChoice = { palette: '256-dark', ascii: false, ...theme };
    const first = opening(columns, rows, view, choice);
    const second = await inkFrame(columns, rows, view, choice);
    expect(gridText(first)).toContain(shows);
    expect(gridText(second)).toBe(gridText(first));
    expect([...second.style]).toEqual([...first.style]);
    // So the terminal gets nothing at all when the one takes the other's place.
    const difference = new CellDifference(256, choice.ascii);
    expect(difference.encode(first).length).toBeGreaterThan(0);
    expect(difference.encode(second).length).toBe(0);
  });

  it('follows the size of the terminal', () => {
    const song = songOf();
    const frame = openingFrame(song, { palette: '256-dark', ascii: false });
    for (const [columns, rows] of [
      [80, 24],
      [120, 40],
      [40, 12],
    ] as const) {
      const grid = new CellGrid(columns, rows);
      frame.compose(grid);
      expect(gridText(grid)).toBe(
        gridText(opening(columns, rows, song, { palette: '256-dark', ascii: false })),
      );
    }
  });
});
