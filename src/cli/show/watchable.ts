import { basename } from 'node:path';
import { version } from '../../../package.json';
import type { ReadSet } from '../../show/read-set.ts';
import { showFileName } from '../../show/show-files.ts';
import { socketPath } from '../../watch/socket-folder.ts';
import type { SongOn } from '../../watch/watch-frames.ts';
import { WatchHost } from '../../watch/watch-host.ts';
import { numberWords, type SongTurn } from './show-stage.ts';

/** Lets `wirepit watch` find this show. Where that cannot be it is told, and the show goes on. */
export async function openToWatch({ path, set }: ReadSet): Promise<WatchHost | undefined> {
  try {
    return await WatchHost.open({ socketPath: socketPath(showFileName(path)), show: set.name, version });
  } catch (error) {
    process.stderr.write(`this show cannot be watched from elsewhere: ${(error as Error).message}\n`);
    return undefined;
  }
}

/** What those who watch are told of a song. */
export function songOnOf(turn: SongTurn): Omit<SongOn, 'originNanos'> {
  const { set, next, prepared } = turn;
  const { loaded, flags } = prepared;
  const words = `${set.name}: ${loaded.timeline.title || basename(loaded.path)}, ${numberWords(turn)}`;
  return { path: loaded.path, flags, words: next === undefined ? words : `${words}; then ${next}` };
}
