import type { Worker } from 'node:worker_threads';
import { Refusal } from '../../trouble/refusal.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import type { SongSet } from '../options/song-set.ts';
import { troubleOf } from '../trouble.ts';
import { refuseToFollow } from './clock-to-follow.ts';
import { forNthSong } from './for-nth-song.ts';
import { closeInputs, openInputs, type RunInputs } from './inputs.ts';
import { LeftFromBefore } from './left-from-before.ts';
import { loadToPlay } from './load-to-play.ts';
import { playHeadless } from './play-headless.ts';
import { preparePlay } from './prepare-play.ts';
import { refuseOwnFiles } from './refuse-own-files.ts';
import { RefusedSongs } from './refused-songs.ts';

/** Song after song without a screen. */
export async function playInTurn(set: SongSet, flags: PlayFlags, thread: Worker | undefined): Promise<void> {
  if (!set.named) {
    throw new Refusal(
      'no song is named, and without a screen none can be chosen',
      'play',
      'name a song or a folder',
    );
  }
  const refused = new RefusedSongs();
  refuseToFollow(flags);
  const inputs = await openInputs(flags);
  try {
    await playEach(set, flags, thread, refused, inputs);
  } finally {
    await closeInputs(inputs);
  }
  for (const line of refused.summary(set.paths.length)) process.stderr.write(`${line}\n`);
}

async function playEach(
  set: SongSet,
  flags: PlayFlags,
  thread: Worker | undefined,
  refused: RefusedSongs,
  inputs: RunInputs | undefined,
): Promise<void> {
  let ready = thread;
  const left = new LeftFromBefore();
  for (const [index, path] of set.paths.entries()) {
    try {
      const asked = preparePlay(await loadToPlay(path, flags), flags);
      const own = forNthSong(asked.options, index + 1);
      const options = inputs?.optionsOf(own, asked.loaded.timeline) ?? own;
      const prepared = { ...asked, options };
      refuseOwnFiles(prepared.options, set.paths, flags.follow);
      const end = await playHeadless(prepared, flags, left, ready);
      ready = undefined; // a thread plays one song
      if (end === 'quit') return;
    } catch (error) {
      // One bad song does not end the set; the exit code remembers it.
      if (!(error instanceof Refusal) || set.paths.length === 1) throw error;
      const { line, exitCode } = troubleOf(error, false);
      if (refused.add(path, error)) process.stderr.write(`${line}\n`);
      process.exitCode = exitCode;
    }
  }
}
