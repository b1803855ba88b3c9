import { readFileSync } from 'node:fs';
import { bucketMicros } from '../../../src/engine/watch/lateness-log.ts';
import { type PtyRun, type PtyRunOptions, runInPty } from '../../support/pty-run.ts';
import { type Answers, screenAnswers } from './key-answers.ts';
import { resultPath, SCREEN_PROGRAM } from './programs.ts';
import { sleep, type Watched, watch } from './watch.ts';

export interface LinkRun extends Watched {
  readonly answers: Answers;
  /** How late messages were handed to the port: counts by bucket of `LatenessLog`. */
  readonly counts: readonly number[];
}

/** The song with the screen on a link, keys pressed all the while. */
export async function runOnLink(song: string, seconds: number, link: Link): Promise<LinkRun> {
  const latenessPath = resultPath('lateness.json');
  const args = [SCREEN_PROGRAM, 'ours', song, latenessPath, String(seconds)];
  const run = runInPty(process.execPath, args, link.options);
  try {
    await run.untilText('playing');
    await sleep(3000);
    const watched = watch(run, seconds - 5);
    const answers = await answersOf(run, link, seconds - 6);
    const costs = await watched;
    if (link.isPaused) run.resume();
    await run.untilExit(30_000);
    const { counts } = JSON.parse(readFileSync(latenessPath, 'utf8')) as { counts: number[] };
    return { ...costs, answers, counts };
  } finally {
    await run.close();
  }
}

export interface Link {
  readonly name: string;
  readonly options: PtyRunOptions;
  /** Nobody reads at all, but for the first seconds and the end. */
  readonly isPaused?: boolean;
}

async function answersOf(run: PtyRun, link: Link, seconds: number): Promise<Answers> {
  if (link.isPaused) {
    run.pause();
    return [];
  }
  const answers: Answers = [];
  const end = performance.now() + seconds * 1000;
  while (performance.now() < end) answers.push(...(await screenAnswers(run, 1)));
  return answers;
}

/** Lateness in microseconds that the share of the messages stays within. */
export function latenessQuantile(counts: readonly number[], share: number): number {
  const total = counts.reduce((sum, count) => sum + count, 0);
  let seen = 0;
  for (const [bucket, count] of counts.entries()) {
    seen += count;
    if (total > 0 && seen >= total * share) return bucketMicros(bucket);
  }
  return Number.NaN;
}
