import type { Worker } from 'node:worker_threads';
import type { Command as CommandLine } from 'commander';
import { startEngineThread } from '../engine/engine-thread.ts';
import { Refusal } from '../files/refusal.ts';
import { forNthSong } from './for-nth-song.ts';
import { loadSong } from './load-song.ts';
import { playHeadless } from './play-headless.ts';
import { addPlayOptions, type PlayFlags } from './play-options.ts';
import { preparePlay } from './prepare-play.ts';
import { RefusedSongs } from './refused-songs.ts';
import { refuseMistypedCommand, type SongSet, songSetOf } from './song-set.ts';
import { troubleOf } from './trouble.ts';

/** `wirepit [play] <songs or folders…>`. */
export function registerPlay(program: CommandLine): void {
  const play = program
    .command('play', { isDefault: true })
    .description('play songs, with the screen (what wirepit does when no command is named)')
    .argument('[songs...]', 'song files or folders; songs/ where none is given');
  addPlayOptions(play).action((paths: string[], flags: PlayFlags) => playSongs(paths, flags));
}

async function playSongs(paths: readonly string[], flags: PlayFlags): Promise<void> {
  refuseMistypedCommand(paths[0]);
  const set = songSetOf(paths);
  // The sending thread compiles its code while the song is read.
  const thread = flags.clock === 'real' ? startEngineThread() : undefined;
  const onScreen =
    !flags.headless && !flags.plain && flags.clock === 'real' && process.stdout.isTTY && process.stdin.isTTY;
  if (onScreen) {
    // Ink and React take a quarter of a second to load: only the screen waits for them.
    const { playOnScreen } = await import('./play-screen.ts');
    await playOnScreen(set, flags, thread);
    return;
  }
  await playInTurn(set, flags, thread);
}

async function playInTurn(set: SongSet, flags: PlayFlags, thread: Worker | undefined): Promise<void> {
  if (!set.named) {
    throw new Refusal(
      'no song is named, and without a screen none can be chosen',
      'play',
      'name a song or a folder',
    );
  }
  const refused = new RefusedSongs();
  let ready = thread;
  for (const [index, path] of set.paths.entries()) {
    try {
      const asked = preparePlay(loadSong(path), flags);
      const prepared = { ...asked, options: forNthSong(asked.options, index + 1) };
      const end = await playHeadless(prepared, flags, ready);
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
  for (const line of refused.summary(set.paths.length)) process.stderr.write(`${line}\n`);
}
