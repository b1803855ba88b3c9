import type { Arrangement } from '../arrange/arrangement.ts';
import { withoutRows } from '../arrange/without-rows.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { unlessTooLarge } from './player/make-image.ts';
import type { PlayerMachine } from './player/player-machine.ts';
import { type PreparedSong, prepareSong } from './prepare-song.ts';

/** One thing that would make the song smaller, and the memory it would then take. */
export interface MemoryAdvice {
  readonly kind: 'thin' | 'coarser-grid' | 'leave-out-channel';
  /** Steps of thinning, milliseconds of the grid's error, or the channel from 0. */
  readonly value: number;
  /** Of the board's memory. */
  readonly bytes: number;
  readonly fits: boolean;
  readonly song: PreparedSong;
}

type Song = Pick<Timeline, 'columns' | 'tempoMap' | 'durationMicros'>;

/** 0 leaves out what says again what holds already. */
const THINNING = [0, 2, 4, 8];
const COARSER = 2;
const CHANNELS = 3;
const DRUMS = 9;

/**
 * What would help a song that does not fit, mildest first: thinning, a coarser grid, then the channels with most to
 * say left out one at a time, drums never.
 */
export function* memoryAdvice(
  song: Song,
  arrangement: Arrangement,
  machine: PlayerMachine,
  limitMicros: number,
): Generator<MemoryAdvice> {
  const advice = (
    kind: MemoryAdvice['kind'],
    value: number,
    changed: () => PreparedSong | undefined,
  ): MemoryAdvice[] => {
    // Undefined where even that is past 64 KiB, or leaves nothing to play.
    const prepared = unlessTooLarge(changed);
    if (prepared === undefined) return [];
    return [{ kind, value, bytes: prepared.memoryBytes, fits: prepared.freeBytes >= 0, song: prepared }];
  };
  for (const tolerance of THINNING) {
    if (tolerance <= (arrangement.tolerance ?? -1)) continue;
    yield* advice('thin', tolerance, () =>
      prepareSong(song, { ...arrangement, tolerance }, machine, limitMicros),
    );
  }
  yield* advice('coarser-grid', (COARSER * limitMicros) / 1000, () =>
    prepareSong(song, arrangement, machine, COARSER * limitMicros),
  );
  for (const channel of busiest(song)) {
    yield* advice('leave-out-channel', channel, () =>
      prepareSong({ ...song, columns: withoutChannel(song, channel) }, arrangement, machine, limitMicros),
    );
  }
}

function busiest({ columns }: Song): number[] {
  const rows = new Uint32Array(16);
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (status < 0xf0) rows[status & 0x0f]! += 1;
  }
  return [...rows.keys()]
    .filter((channel) => rows[channel]! > 0 && channel !== DRUMS)
    .sort((a, b) => rows[b]! - rows[a]!)
    .slice(0, CHANNELS);
}

function withoutChannel({ columns }: Song, channel: number): Song['columns'] {
  const drop = new Uint8Array(columns.count);
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (status < 0xf0 && (status & 0x0f) === channel) drop[row] = 1;
  }
  return withoutRows(columns, drop);
}
