// Pictures of the screen in colour, for the README and docs/screens/: `npx tsx scripts/write-pictures.ts`. A song
// of ours is folded into an observed state up to a moment, and the real screen is drawn of it; no terminal needed.
import { mkdirSync, writeFileSync } from 'node:fs';
import { loadSong } from '../src/cli/load-song.ts';
import { songNotesOf } from '../src/core/observe/song-notes.ts';
import { fileOrderPlan } from '../src/core/wire/file-order-plan.ts';
import { loadCurveOf } from '../src/core/wire/load-curve.ts';
import { simulatePlan } from '../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../src/core/wire/wire-traits.ts';
import { openTestScreen } from '../src/screen/ink-frame/open-test-screen.ts';
import { runScreen } from '../src/screen/run-screen.tsx';
import type { Palette } from '../src/screen/theme/roles.ts';
import { playIntoObserved } from '../test/support/play-into-observed.ts';
import { stillPlayer } from '../test/support/still-player.ts';
import { DARK, gridSvg, LIGHT } from './grid-svg.ts';

interface Picture {
  readonly name: string;
  readonly size: readonly [columns: number, rows: number];
  readonly palette: Palette;
  readonly bar: number;
  readonly keys?: readonly string[];
}

const PICTURES: readonly Picture[] = [
  { name: 'lanes-dark', size: [80, 24], palette: '256-dark', bar: 20 },
  { name: 'lanes-light', size: [120, 40], palette: '256-light', bar: 20 },
  { name: 'lane-detail', size: [80, 24], palette: '256-dark', bar: 20, keys: ['down', 'enter'] },
];

const WINDOW_MICROS = 100_000;
const FOLDER = 'docs/screens';

const { path, timeline } = loadSong(process.argv[2] ?? 'songs/harbour-evening.mid');
const song = {
  title: timeline.title,
  fileName: path,
  portName: 'mock',
  timeline,
  notes: songNotesOf(timeline.columns),
  durationMicros: timeline.durationMicros,
  load: loadCurveOf(simulatePlan(fileOrderPlan(timeline.columns), MIDI_WIRE), WINDOW_MICROS),
  loadWindowMicros: WINDOW_MICROS,
  plannedWorst: undefined,
  findingsCount: 0,
};

mkdirSync(FOLDER, { recursive: true });
for (const { name, size, palette, bar, keys = [] } of PICTURES) {
  // A little after the bar line, when its notes sound.
  const moment = timeline.tempoMap.microsAt(timeline.meterMap.tickOf(bar)) + 150_000;
  const screen = openTestScreen(...size);
  const player = stillPlayer(playIntoObserved(timeline, moment), moment);
  void runScreen({ player, song, screen, theme: { palette, ascii: false } });
  await screen.settle();
  await screen.press(...keys);
  writeFileSync(`${FOLDER}/${name}.svg`, gridSvg(screen.grid(), palette.endsWith('light') ? LIGHT : DARK));
  screen.close();
}
