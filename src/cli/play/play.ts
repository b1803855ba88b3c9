import type { Command as CommandLine } from 'commander';
import { startEngineThread } from '../../engine/run/engine-thread.ts';
import { addOptions } from '../options/add-options.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { refuseMistypedCommand, songSetOf } from '../options/song-set.ts';
import { inWordsIfBare, wantsScreen } from '../options/wants-screen.ts';

/** `wirepit [play] <songs or folders…>`. */
export function registerPlay(program: CommandLine): void {
  const play = program
    .command('play', { isDefault: true })
    .description('play songs, with the screen (what wirepit does when no command is named)')
    .argument('[songs...]', 'song files or folders; songs/ where none is given');
  addOptions(play, 'play').action((paths: string[], flags: PlayFlags) => playSongs(paths, flags));
}

async function playSongs(paths: readonly string[], given: PlayFlags): Promise<void> {
  refuseMistypedCommand(paths[0]);
  const flags = inWordsIfBare(given);
  await fetchNamedInstruments([flags]);
  const set = songSetOf(paths);
  // The screen's first frame waits for no more code than it needs; nor does anything else load what it does not.
  if (wantsScreen(flags)) {
    const { openPlayScreen } = await import('./open-play-screen.ts');
    await openPlayScreen(set, flags);
  } else {
    // The sending thread compiles its code while ours is loaded and the song is read.
    const thread = flags.clock === 'real' ? startEngineThread() : undefined;
    const { playInTurn } = await import('./play-in-turn.ts');
    await playInTurn(set, flags, thread);
  }
}
