import type { Command } from 'commander';
import { startEngineThread } from '../../engine/run/engine-thread.ts';
import { isFromFile } from '../config/apply-config.ts';
import { addOptions } from '../options/add-options.ts';
import { wantsScreen } from '../options/wants-screen.ts';
import type { ShowFlags } from './song-flags.ts';

/** `wirepit show <set.toml>`. */
export function registerShow(program: Command): void {
  const show = program
    .command('show')
    .description('play a set: songs in order, each as the set says, for an evening or for days')
    .argument('<set>', 'a set file (docs/show.md); with --new the one to write')
    .addHelpText(
      'after',
      '\nExit code: 0 all was played, 1 songs were passed over, 2 the set cannot be read.',
    );
  addOptions(show, 'show').action(async (path: string, flags: ShowFlags) => {
    if (flags.new !== undefined) return (await import('./new-set.ts')).newSet(path, flags.new);
    if (flags.service || flags.serviceTty !== undefined) {
      return (await import('./print-service.ts')).printService(path, flags, show);
    }
    // The sending thread compiles its code while ours is loaded; with a screen the first frame goes before it.
    const isLog = flags.clock === 'real' && !wantsScreen(flags);
    const thread = isLog ? startEngineThread() : undefined;
    return (await import('./run-set.ts')).runSet(path, flags, isFromFile(show, 'port'), thread);
  });
}
