import type { PlayerOptions } from '../../engine/run/player-options.ts';
import { refuseSharedFiles } from '../../ports/file/refuse-shared-files.ts';
import { inputPath } from '../../ports/input-path.ts';

/**
 * @param sources the songs of the whole run: one that comes later is no more written over than this one
 * @param follow the input whose clock is followed, which may be a file too
 * @throws Refusal when an output would write over one of them, or where another output writes
 */
export function refuseOwnFiles(
  { outputs, recordPath, playAlong }: PlayerOptions,
  sources: readonly string[],
  follow?: string,
): void {
  const heard = [playAlong?.from, follow].flatMap((from) => (from === undefined ? [] : inputPath(from)));
  refuseSharedFiles({
    outputs: outputs.map(({ port }) => port),
    record: recordPath,
    sources: [...sources, ...heard],
  });
}
