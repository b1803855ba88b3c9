import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { PlayFlags } from '../../../src/cli/options/play-flags.ts';
import { preparePlay } from '../../../src/cli/play/prepare-play.ts';
import { songViewOf } from '../../../src/cli/play/song-view-of.ts';
import { wirepitProgram } from '../../../src/cli/program.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { audibleChannels } from '../../../src/core/schedule/channel-settings.ts';
import { runVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { ROOT } from '../../support/run-wirepit.ts';

const SONG = join(ROOT, 'songs/lamplight-parade.mid');

/** The flags that the program has when these are written. */
function flagsOf(args: readonly string[]): PlayFlags {
  const play = wirepitProgram().commands.find((each) => each.name() === 'play')!;
  play.parseOptions([...args]);
  return play.opts() as PlayFlags;
}

/** The worst onset as it was planned for what is heard, and as it was seen when played, in microseconds. */
async function plannedAndSeen(...args: string[]): Promise<{ planned: number; seen: number }> {
  const prepared = preparePlay(
    loadSong(SONG),
    flagsOf(['--clock', 'virtual', '--plan', 'file-order', ...args]),
  );
  const player = await runVirtualPlayer(prepared.options);
  await player.ended;
  const { observed } = player;
  const planned = songViewOf(prepared).plannedWorst!(audibleChannels(observed));
  await player.close();
  return {
    planned: planned?.latenessMicros ?? 0,
    seen: observed.numbers[Slot.worstOnsetLatenessMicros]!,
  };
}

describe('the planned worst onset', () => {
  it.each(['', '--solo 3', '--mute 1-8', '--solo 1-4 --mute 2'])(
    'is that of what is heard: %s',
    async (args) => {
      const { planned, seen } = await plannedAndSeen(...args.split(' ').filter(Boolean));
      expect(planned).toBeGreaterThan(0);
      expect(planned).toBeCloseTo(seen, 0);
    },
  );

  it('is less where less is heard', async () => {
    const all = await plannedAndSeen();
    const some = await plannedAndSeen('--solo', '3');
    expect(some.planned).toBeLessThan(all.planned / 2);
  });
});
