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

/** The song prepared as the program would, on the virtual clock. */
function prepared(args: readonly string[]) {
  return preparePlay(loadSong(SONG), flagsOf(['--clock', 'virtual', '--plan', 'file-order', ...args]));
}

/** The worst onset as it was planned for what is heard, and as it was seen when played, in microseconds. */
async function plannedAndSeen(...args: string[]): Promise<{ planned: number; seen: number }> {
  const play = prepared(args);
  const player = await runVirtualPlayer(play.options);
  await player.ended;
  const { observed } = player;
  const planned = songViewOf(play).plannedWorst!(audibleChannels(observed));
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

/** After the song: controllers 123 and 120 on each of 16 channels, three bytes each; running status spares one. */
const SILENCE_BYTES = 16 * 2 * 3 - 1;

describe('the planned load', () => {
  /** Bytes that the plan puts on the wire, and those that were sent. */
  async function bytesOf(...args: string[]): Promise<{ planned: number; sent: number }> {
    const play = prepared(args);
    const player = await runVirtualPlayer(play.options);
    await player.ended;
    const { observed } = player;
    const { shares, windowMicros } = songViewOf(play).load(audibleChannels(observed));
    await player.close();
    const { numbers } = observed;
    const seconds = (shares.reduce((sum, share) => sum + share, 0) * windowMicros) / 1_000_000;
    return { planned: seconds * numbers[Slot.bytesPerSecond]!, sent: numbers[Slot.bytesSent]! };
  }

  it.each(['', '--solo 3', '--mute 1-8', '--solo 1-4 --mute 2'])(
    'is what is sent while this is heard: %s',
    async (args) => {
      const { planned, sent } = await bytesOf(...args.split(' ').filter(Boolean));
      expect(planned).toBeGreaterThan(4_000);
      expect(sent - planned).toBeCloseTo(SILENCE_BYTES, 0);
    },
  );

  it('is worked out once for each set of channels, and only when it is asked for', () => {
    const song = songViewOf(prepared([]));
    const all = song.load(0xffff);
    const some = song.load(0x0004);
    expect(some.shares).not.toEqual(all.shares);
    expect(song.load(0xffff)).toBe(all);
    expect(song.load(0x0004)).toBe(some);
    for (let set = 1; set <= 100; set += 1) song.load(set);
    expect(song.load(0xffff)).toEqual(all);
  });
});
