/**
 * A day in front of the screen, as fast as it goes: the song in a loop on the virtual clock, frames differenced
 * and thrown away; once a minute a key is pressed, so that dialogs open and close and messages come and go.
 * Prints how much memory is in use, after a sweep, at eight moments.
 *
 *   node --expose-gc day-program ours|ink <song> <frames> <frames a second>
 */
import { Writable } from 'node:stream';
import { render, Text } from 'ink';
import { preparePlay } from '../../../src/cli/play/prepare-play.ts';
import { songViewOf } from '../../../src/cli/play/song-view-of.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { CellGrid } from '../../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../../src/screen/cells/grid-text.ts';
import { InkFrame } from '../../../src/screen/ink-frame/ink-frame.tsx';
import { runScreen } from '../../../src/screen/run-screen.tsx';
import { CellDifference } from '../../../src/screen/terminal/cell-difference.ts';
import { InputListeners } from '../../../src/screen/terminal/input-listeners.ts';
import { keyNamed } from '../../../src/screen/terminal/key.ts';
import { FLAGS } from './flags.ts';

const [way, path, wantedFrames, rate] = process.argv.slice(2) as [string, string, string, string];
const frames = Number(wantedFrames);
const COLUMNS = 80;
const ROWS = 24;
const FRAME_MICROS = 1e6 / Number(rate);
const FRAMES_A_MINUTE = Number(rate) * 60;
/** Pressed in turn, one a minute: dialogs, the lane below, a mute, a silence (which leaves a message and a log line). */
const KEYS = ['?', 'escape', 'h', 'escape', 'enter', 'escape', 'l', 'escape', 'down', 'm', 'z', 'm'];

const prepared = preparePlay(loadSong(path), FLAGS);
const player = await openVirtualPlayer({
  ...prepared.options,
  setup: [{ kind: 'loop', fromMicros: 0, toMicros: prepared.options.durationMicros }],
});
const inputs = new InputListeners();
const events = {
  onChange() {},
  onBug(error: Error) {
    throw error;
  },
};
const frame = new InkFrame(COLUMNS, ROWS, events, inputs);
void runScreen({
  player,
  screen: { render: (element) => frame.render(element) },
  song: songViewOf(prepared),
  theme: { palette: '256-dark', ascii: false },
});
const grid = new CellGrid(COLUMNS, ROWS);
const draw = way === 'ours' ? ourDraw() : inkDraw();

const marks: { frame: number; heapMb: number; residentMb: number }[] = [];
let drawMillis = 0;
let bytes = 0;
for (let count = 1; count <= frames; count++) {
  if (!player.advanceTo(count * FRAME_MICROS)) throw new Error('the song ended though it loops');
  if (count % FRAMES_A_MINUTE === 0) {
    inputs.take({ kind: 'key', key: keyNamed(KEYS[(count / FRAMES_A_MINUTE) % KEYS.length]!) });
    await turns();
  }
  const before = performance.now();
  bytes += draw();
  drawMillis += performance.now() - before;
  if (count % 64 === 0) await turns();
  if (count % Math.floor(frames / 8) === 0) {
    (globalThis as unknown as { gc(): void }).gc();
    const { heapUsed, external, arrayBuffers, rss } = process.memoryUsage();
    marks.push({ frame: count, heapMb: (heapUsed + external + arrayBuffers) / 1e6, residentMb: rss / 1e6 });
  }
}
process.stdout.write(JSON.stringify({ frames, bytes, microsPerFrame: (drawMillis / frames) * 1000, marks }));
process.exit(0);

function ourDraw(): () => number {
  const difference = new CellDifference(256);
  return () => {
    frame.compose(grid);
    return difference.encode(grid).length;
  };
}

/** Plain Ink with the frame as text, as its own keeping of texts is what grows. */
function inkDraw(): () => number {
  let sent = 0;
  const sink = new Writable({
    decodeStrings: false,
    write(text: string, _encoding, done) {
      sent += text.length;
      done();
    },
  });
  const stdout = Object.assign(sink, { columns: COLUMNS }) as unknown as NodeJS.WriteStream;
  const ink = render(null, { stdout, patchConsole: false, exitOnCtrlC: false, maxFps: 1e6 });
  return () => {
    frame.compose(grid);
    const before = sent;
    ink.rerender(<Text>{gridText(grid)}</Text>);
    return sent - before;
  };
}

/** Lets React and timers do what they have put off. */
async function turns(): Promise<void> {
  for (let turn = 0; turn < 3; turn++) await new Promise((done) => setImmediate(done));
}
