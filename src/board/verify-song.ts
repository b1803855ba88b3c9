import type { PlayerMachine } from '../core/export/player/player-machine.ts';
import type { PreparedSong } from '../core/export/prepare-song.ts';
import type { EmulatedMachine, EmulatedRun } from './emulated-run.ts';
import { run6502 } from './run-6502.ts';
import { runZ80 } from './run-z80.ts';

/** An emulated run held against the plan. */
export interface Verified {
  readonly bytes: number;
  /** How many bytes of the plan came out, in their places. */
  readonly equal: number;
  readonly p50LateMicros: number;
  readonly worstLateMicros: number;
  /** Shortest time between two bytes. */
  readonly shortestGapMicros: number;
  /** Furthest that any byte's cycle is from the player's own account. */
  readonly accountCycles: number;
  readonly strayAccesses: number;
}

/** @returns undefined where the emulator of that processor is not installed */
export function runImage(
  { image, stackBytes }: Pick<PreparedSong, 'image' | 'stackBytes'>,
  board: Omit<PlayerMachine, 'repeat' | 'from'>,
  until: Pick<EmulatedMachine, 'mostBytes' | 'mostCycles' | 'stopAtCycle'>,
): Promise<EmulatedRun | undefined> {
  const run = board.cpu === 'z80' ? runZ80 : run6502;
  return run(image, { ...board, ...until, stackBytes });
}

/** @returns undefined where the emulator is not installed */
export async function verifySong(
  song: PreparedSong,
  board: Omit<PlayerMachine, 'repeat' | 'from'>,
): Promise<Verified | undefined> {
  const { played, image, wireBytes } = song;
  const cycleMicros = 1_000_000 / board.clockHz;
  const unitCycles = board.clockHz / played.unitsPerSecond;
  const run = await runImage(song, board, {
    // One too many would show; a song that repeats does go on.
    mostBytes: wireBytes.length + (image.repeats ? 0 : 1),
    mostCycles: (played.sentUnits.at(-1)! + board.clockHz) * unitCycles,
  });
  if (run === undefined) return undefined;
  const late = new Float64Array(run.bytes.length);
  let equal = 0;
  let gap = Number.POSITIVE_INFINITY;
  let account = 0;
  for (let at = 0; at < run.bytes.length; at += 1) {
    if (run.bytes[at] === wireBytes[at]) equal += 1;
    const since = run.cycles[at]! - run.cycles[0]!;
    late[at] = since - (played.dueUnits[at]! - played.dueUnits[0]!) * unitCycles;
    account = Math.max(
      account,
      Math.abs(since - (played.sentUnits[at]! - played.sentUnits[0]!) * unitCycles),
    );
    if (at > 0) gap = Math.min(gap, run.cycles[at]! - run.cycles[at - 1]!);
  }
  late.sort();
  return {
    bytes: wireBytes.length,
    equal: run.bytes.length === wireBytes.length ? equal : Math.min(equal, wireBytes.length - 1),
    p50LateMicros: Math.max(0, (late[late.length >> 1] ?? 0) * cycleMicros),
    worstLateMicros: Math.max(0, (late.at(-1) ?? 0) * cycleMicros),
    shortestGapMicros: gap * cycleMicros,
    accountCycles: account,
    strayAccesses: run.strayReads + run.strayWrites,
  };
}
