import { join, parse } from 'node:path';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import { pathKind } from '../../files/path-kind.ts';

/**
 * Files are written anew by each song, so in a run of several songs each but the first gets files of its own:
 * `take.mid`, `take-2.mid`, `take-3.mid`.
 * @param nth counted from 1
 */
export function forNthSong(options: PlayerOptions, nth: number): PlayerOptions {
  if (nth === 1) return options;
  const { recordPath } = options;
  return {
    ...options,
    outputs: options.outputs.map((output) =>
      output.port.startsWith(FILE)
        ? { ...output, port: FILE + numbered(output.port.slice(FILE.length), nth) }
        : output,
    ),
    ...(recordPath === undefined ? {} : { recordPath: numbered(recordPath, nth) }),
  };
}

/** A device or a FIFO stays what it is. */
function numbered(path: string, nth: number): string {
  const { dir, name, ext } = parse(path);
  return pathKind(path) === 'other' ? path : join(dir, `${name}-${nth}${ext}`);
}

const FILE = 'file:';
