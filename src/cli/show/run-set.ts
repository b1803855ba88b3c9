import type { Worker } from 'node:worker_threads';
import { type ReadSet, readSet } from '../../show/read-set.ts';
import { NO_MEMORY, ShowFiles } from '../../show/show-files.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { inWordsIfBare, wantsScreen } from '../options/wants-screen.ts';
import { jsonText } from '../output/json-text.ts';
import { closeInputs, openInputs } from '../play/inputs.ts';
import { EXIT } from '../trouble.ts';
import { type FitSong, runShow } from './run-show.ts';
import { REAL_CLOCK, type ShowClock, virtualShowClock } from './show-clock.ts';
import { ShowReport } from './show-report.ts';
import type { OpenStage } from './show-stage.ts';
import type { ShowFlags } from './song-flags.ts';
import { Watchable } from './watchable.ts';

/**
 * Plays a set.
 * @param thread the sending thread, for the first song, where one was started while this was loaded
 */
export async function runSet(
  path: string,
  given: ShowFlags,
  hasUsualPort: boolean,
  thread?: Worker,
): Promise<void> {
  const read = readSet(path);
  // The set's ports come before a person's usual ones, and after those of the command line.
  const flags = inWordsIfBare(hasUsualPort && read.ports.length > 0 ? withoutPorts(given) : given);
  await fetchNamedInstruments([
    flags,
    { map: read.map },
    ...read.set.songs.map(({ instrument }) => ({ instrument })),
  ]);
  const isVirtual = flags.clock === 'virtual';
  const clock = isVirtual ? virtualShowClock(new Date()) : REAL_CLOCK;
  const files = isVirtual ? NO_MEMORY : memoryOf(read.path);
  const report = new ShowReport(read.path);
  const inputs = await openInputs({ ...flags, wait: true });
  const host = isVirtual ? undefined : new Watchable(read);
  const stage = await stageFor(flags, clock, host, thread);
  try {
    await runShow(read, flags, files, stage, clock, report, await fitterFor(read), inputs);
  } finally {
    await stage.close();
    await host?.close();
    await closeInputs(inputs);
  }
  if (flags.json) process.stdout.write(`${jsonText(report.document())}\n`);
  if (report.hasSkipped) process.exitCode ??= EXIT.problems;
}

function withoutPorts({ map: _, ...flags }: ShowFlags): ShowFlags {
  return { ...flags, port: [] };
}

/** Each loads only what it needs: the screen's is most of the program. */
async function stageFor(
  flags: ShowFlags,
  clock: ShowClock,
  host: Watchable | undefined,
  thread: Worker | undefined,
): Promise<OpenStage> {
  if (wantsScreen(flags)) return new (await import('./screen-stage.ts')).ScreenStage(flags, host);
  return new (await import('./headless-stage.ts')).HeadlessStage(flags, clock, host, thread);
}

async function fitterFor({ set }: ReadSet): Promise<FitSong | undefined> {
  if (!set.songs.some(({ fits }) => fits)) return undefined;
  const { fittedSong } = await import('../fit/fitted-song.ts');
  return (loaded, flags) => fittedSong(loaded, flags).loaded;
}

function memoryOf(setPath: string): ShowFiles {
  const files = new ShowFiles(setPath);
  if (files.trouble === undefined) return files;
  throw new Refusal(files.trouble, files.statePath, 'set XDG_STATE_HOME to a folder you may write to');
}
