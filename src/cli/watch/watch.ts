import { basename } from 'node:path';
import type { Command } from 'commander';
import { version } from '../../../package.json';
import { showFileName } from '../../show/show-files.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { answersAt } from '../../watch/knock.ts';
import { socketPath, socketPathsOf, socketsThere } from '../../watch/socket-folder.ts';
import { WatchLink } from '../../watch/watch-link.ts';
import { addOptions } from '../options/add-options.ts';
import { canBeDrawnOn } from '../output/bare-terminal.ts';
import type { WatchFlags } from './watch-flags.ts';

/** `wirepit watch [set.toml]`. */
export function registerWatch(program: Command): void {
  const watch = program
    .command('watch')
    .description('look at a show that runs on this machine, from another terminal; leave when you like')
    .argument('[set]', 'its set file; not needed where one show runs')
    .addHelpText('after', '\nExit code: 0 you left, or the show is over; 2 no show is there.');
  addOptions(watch, 'watch').action((path: string | undefined, flags: WatchFlags) => runWatch(path, flags));
}

async function runWatch(set: string | undefined, flags: WatchFlags): Promise<void> {
  const path = set === undefined ? await onlyShow() : await showOf(set);
  const link = await WatchLink.attach(path, version, flags.control ?? false);
  if (flags.headless || !process.stdout.isTTY || !process.stdin.isTTY || !canBeDrawnOn()) {
    const { watchHeadless } = await import('./watch-headless.ts');
    return watchHeadless(link, flags);
  }
  const { watchOnScreen } = await import('./watch-screen.ts');
  return watchOnScreen(link, flags);
}

async function showOf(set: string): Promise<string> {
  const { readSet } = await import('../../show/read-set.ts'); // which loads what reads TOML
  const name = showFileName(readSet(set).path);
  for (const path of socketPathsOf(name)) if (await answersAt(path)) return path;
  return socketPath(name);
}

/** The one show that runs here. */
async function onlyShow(): Promise<string> {
  const running: string[] = [];
  for (const path of socketsThere()) if (await answersAt(path)) running.push(path);
  if (running.length === 1) return running[0]!;
  if (running.length === 0) {
    throw new Refusal('no show runs here', 'watch', 'start one with `wirepit show <set.toml>`');
  }
  const names = running.map((path) => basename(path).replace(/-[0-9a-f]{8}\.socket$/, ''));
  throw new Refusal(`${running.length} shows run here: ${names.join(', ')}`, 'watch', 'say which set file');
}
