import type { PlayerOptions } from '../../engine/run/player-options.ts';
import { refuseSharedFiles } from '../../ports/file/refuse-shared-files.ts';
import { portNamed } from '../../ports/port-named.ts';

/**
 * @param sources the songs of the whole run: one that comes later is no more written over than this one
 * @throws Refusal when an output would write over one of them, or where another output writes
 */
export function refuseOwnFiles(
  { outputs, recordPath, playAlong }: PlayerOptions,
  sources: readonly string[],
): void {
  const played = playAlong && portNamed(playAlong.from);
  refuseSharedFiles({
    outputs: outputs.map(({ port }) => port),
    record: recordPath,
    sources: played === undefined ? sources : [...sources, played.rest],
  });
}
