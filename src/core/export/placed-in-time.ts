import { makeImage, type PlayerImage, unlessTooLarge } from './player/make-image.ts';
import {
  levelUnitsOf,
  memoryBytesOf,
  type PlayerMachine,
  stackBytesOf,
  UNIT_CYCLES,
} from './player/player-machine.ts';
import { type PlayedImage, readImage } from './player/read-image.ts';
import { codingOf } from './stream/coding.ts';
import { levelLimits, MOST_AT_ONCE } from './stream/level-limits.ts';
import type { PackedStream } from './stream/pack-stream.ts';
import { referencedParts } from './stream/references.ts';
import { relieveBursts } from './stream/relieve-bursts.ts';

export interface PlacedSong {
  readonly image: PlayerImage;
  /** The image read back, as the player will play it. */
  readonly played: PlayedImage;
  /** Byte by byte: how much later than its grid step and the bytes before it would have it. */
  readonly lateUnits: Float64Array;
  /** The worst of them. */
  readonly worstLateUnits: number;
}

/** A song is packed anew so often at most; what is relieved once stays so. */
const ROUNDS = 8;
/** A byte may be so late, in the processor's cycles: a faster clock is held to less. 1.2 ms at 1 MHz, 0.3 ms at 4. */
const MOST_LATE_CYCLES = 1_200;

/**
 * A packed song behind its player. Where the player would be later with a byte than it should, the song is packed anew
 * with fewer levels in the bursts that made it late, until it is in time or nothing is left to do.
 * @throws {RangeError} for an image past 64 KiB
 */
export function placedInTime(packed: PackedStream, machine: PlayerMachine): PlacedSong {
  const { symbols, table, outlook, stepUnits } = packed;
  const coding = codingOf(table);
  const mostUnits = MOST_LATE_CYCLES / UNIT_CYCLES[machine.cpu];
  const place = (parts: PackedStream['parts']): PlacedSong => {
    const image = makeImage(machine, table, parts, stepUnits);
    const played = readImage(image.bytes);
    if ('kind' in played) throw new Error(`the packed stream does not read back: ${played.kind}`);
    const lateUnits = lateUnitsOf(played);
    const worstLateUnits = lateUnits.reduce((worst, late) => Math.max(worst, late), 0);
    return { image, played, lateUnits, worstLateUnits };
  };
  const limits = levelLimits(symbols.length, MOST_AT_ONCE);
  let { parts } = packed;
  let best = place(parts);
  const takes = ({ image, played }: PlacedSong) =>
    memoryBytesOf(machine.cpu, image.bytes.length, stackBytesOf(machine.cpu, played.deepest));
  // A song that fits goes on fitting.
  const room = Math.max(machine.to - machine.from, takes(best));
  let last = best;
  for (let round = 0; round < ROUNDS; round += 1) {
    if (last.worstLateUnits <= mostUnits) break;
    const timed = { symbols, parts, coding, lateUnits: last.lateUnits };
    if (!relieveBursts(timed, limits, mostUnits, levelUnitsOf(machine))) break;
    parts = referencedParts(symbols, coding, outlook, limits);
    const next = unlessTooLarge(() => place(parts));
    if (next === undefined) break;
    last = next;
    if (takes(last) <= room && last.worstLateUnits < best.worstLateUnits) best = last;
  }
  return best;
}

/** Against the first byte: nobody hears when the player was started. */
function lateUnitsOf({ dueUnits, sentUnits }: PlayedImage): Float64Array {
  const begin = sentUnits[0]! - dueUnits[0]!;
  return dueUnits.map((due, at) => sentUnits[at]! - due - begin);
}
