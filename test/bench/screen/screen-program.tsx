/**
 * The screen on a song, three ways: ours as the program has it, and plain Ink (whole frames, or its incremental
 * mode) drawing the very same cells at the same rate.
 *
 *   screen-program ours|ink|ink-incremental <song> <lateness file> <seconds>
 */
import { writeFileSync } from 'node:fs';
import { render, Text } from 'ink';
import type { ReactNode } from 'react';
import { preparePlay } from '../../../src/cli/play/prepare-play.ts';
import { songViewOf } from '../../../src/cli/play/song-view-of.ts';
import { startWorkerPlayer } from '../../../src/engine/run/worker-player.ts';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { CellGrid, WIDE_TAIL } from '../../../src/screen/cells/cell-grid.ts';
import { InkFrame } from '../../../src/screen/ink-frame/ink-frame.tsx';
import { openScreen } from '../../../src/screen/ink-frame/open-screen.ts';
import { sgrFor } from '../../../src/screen/ink-frame/sgr.ts';
import { runScreen, type ScreenHost } from '../../../src/screen/run-screen.tsx';
import { InputListeners } from '../../../src/screen/terminal/input-listeners.ts';
import { FLAGS } from './flags.ts';

const [way, path, latenessPath, seconds] = process.argv.slice(2) as [string, string, string, string];
const prepared = preparePlay(loadSong(path), FLAGS);
const log = new LatenessLog();
const player = await startWorkerPlayer({
  ...prepared.options,
  latenessLog: log.buffer,
  latenessFromMicros: 3_000_000,
});
const host = way === 'ours' ? ourScreen() : inkScreen(way === 'ink-incremental');
void runScreen({
  player,
  screen: host.screen,
  song: songViewOf(prepared),
  theme: { palette: '256-dark', ascii: false },
});
setTimeout(async () => {
  writeFileSync(latenessPath, JSON.stringify({ counts: [...log.counts()], worstMicros: log.worstMicros() }));
  host.close();
  await player.close();
  process.exit(0);
}, Number(seconds) * 1000);

function ourScreen(): { screen: ScreenHost; close(): void } {
  const screen = openScreen({
    input: process.stdin as typeof process.stdin & { fd: number },
    output: process.stdout,
    depth: 256,
  });
  return { screen, close: () => screen.close() };
}

/**
 * The cells come from the same painters, which cost the same in both; what differs is how they reach the
 * terminal. One row less than the terminal has, since Ink clears and rewrites everything when it is as tall
 * (ink.js, `lastOutputHeight >= rows`): the comparison is with Ink at its best.
 */
function inkScreen(incrementalRendering: boolean): { screen: ScreenHost; close(): void } {
  const { columns, rows } = process.stdout;
  const events = {
    onChange() {},
    onBug(error: Error) {
      throw error;
    },
  };
  const frame = new InkFrame(columns, rows, events, new InputListeners());
  const grid = new CellGrid(columns, rows);
  const ink = render(null, { patchConsole: false, exitOnCtrlC: false, maxFps: 60, incrementalRendering });
  const timer = setInterval(() => {
    frame.compose(grid);
    ink.rerender(<Rows grid={grid} count={rows - 1} />);
  }, 1000 / 12);
  return {
    screen: { render: (element) => frame.render(element) },
    close() {
      clearInterval(timer);
      ink.unmount();
    },
  };
}

function Rows({ grid, count }: { grid: CellGrid; count: number }): ReactNode {
  return Array.from({ length: count }, (_, y) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: a row is its number
    <Text key={y} wrap="truncate">
      {rowText(grid, y)}
    </Text>
  ));
}

function rowText(grid: CellGrid, y: number): string {
  let text = '';
  let style = 0;
  for (let at = y * grid.columns; at < (y + 1) * grid.columns; at++) {
    if (grid.glyph[at] === WIDE_TAIL) continue;
    if (grid.style[at] !== style) {
      style = grid.style[at]!;
      text += sgrFor(style);
    }
    text += String.fromCodePoint(grid.glyph[at]!);
  }
  return style === 0 ? text : text + sgrFor(0);
}
