import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { preparePlay } from '../../../src/cli/play/prepare-play.ts';
import { HeadlessStage } from '../../../src/cli/show/headless-stage.ts';
import { virtualShowClock } from '../../../src/cli/show/show-clock.ts';
import { type ShowFlags, songFlags } from '../../../src/cli/show/song-flags.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer, type VirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { setOf } from '../../core/show/set-of.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

beforeEach(() => void vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] }));
afterEach(() => {
  vi.useRealTimers();
  vi.restoreAllMocks();
});

const FLAGS = {
  ...{ port: [], plan: 'packed', clock: 'real', early: 0, setupFirst: true, settle: 100, stuckAfter: 10 },
  ...{ headless: true, unattended: true },
} as unknown as ShowFlags;

/** 96 ticks are half a second (no tempo said: 120 a minute, SMF 1.0). */
function songOf(seconds: number): string {
  const beats = Array.from({ length: seconds * 2 }, (_, beat): DeltaEvent[] => [
    [beat === 0 ? 0 : 48, [0x90, 60, 80]],
    [48, [0x80, 60, 64]],
  ]);
  const path = join(tempFolder('headless-status'), 'long.mid');
  writeFileSync(path, songBytes([beats.flat()]));
  return path;
}

test('a show without a screen says every 10 s how the song stands, from its beginning to its end and no longer', async () => {
  const told = vi.spyOn(process.stderr, 'write').mockImplementation(() => true);
  const path = songOf(35);
  /** A run on a clock that the test moves, where a thread would be that goes by the machine's. */
  let player: VirtualPlayer | undefined;
  const startPlayer = async (options: PlayerOptions) => {
    player = await openVirtualPlayer(options);
    return player;
  };
  const clock = virtualShowClock(new Date(2026, 10, 26));
  const stage = new HeadlessStage(FLAGS, clock, undefined, undefined, startPlayer);
  const set = setOf([{ path }]);
  const read = { path: 's', set, ports: [], map: undefined, files: [] };
  const turn = {
    ...{ set, song: 0, place: { round: 0, turn: 0, played: 0 }, next: undefined },
    prepared: preparePlay(loadSong(path), songFlags(set.songs[0]!, read, FLAGS)),
    befell: () => {},
    keep: () => '',
  };
  const positions: number[] = [];
  const played = stage.play(turn, (micros) => void positions.push(micros));
  const lines = (): string[] =>
    told.mock.calls.map(([text]) => String(text)).filter((text) => text.includes(' bar '));
  await vi.waitFor(() => expect(lines().join('')).toContain('playing'));
  for (let micros = 100_000; player!.advanceTo(micros); micros += 100_000) {
    vi.advanceTimersByTime(100);
  }
  expect(await played).toBe('ended');
  vi.advanceTimersByTime(60_000);
  expect(
    lines().map((line) =>
      /^(\d+:\d\d)\/0:3[45] bar (\d+):1 playing \d+ sounding, wire \d+%.*\n$/.exec(line)?.slice(1),
    ),
  ).toEqual(
    // Two seconds to a bar of four.
    [
      ['0:00', '1'],
      ['0:10', '6'],
      ['0:20', '11'],
      ['0:30', '16'],
    ],
  );
  // The place, which is kept for a power cut, is told five times a second.
  expect(positions.length).toBeGreaterThan(5 * 34);
});
