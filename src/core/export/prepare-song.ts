import type { Arrangement } from '../arrange/arrangement.ts';
import type { TempoMap } from '../timeline/tempo-map.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { planSong } from '../wire/plan-song.ts';
import { MIDI_WIRE, type WireTraits } from '../wire/wire-traits.ts';
import { placedInTime } from './placed-in-time.ts';
import type { PlayerImage } from './player/make-image.ts';
import {
  memoryBytesOf,
  type PlayerMachine,
  slotUnitsOf,
  stackBytesOf,
  unitMicrosOf,
} from './player/player-machine.ts';
import type { PlayedImage } from './player/read-image.ts';
import { packStream } from './stream/pack-stream.ts';
import { settledOrder, withSharedStatus } from './stream/settled-order.ts';
import { endSilence, stopSilence } from './stream/silence-messages.ts';
import { followedBy, NOTHING, wireMessagesOf } from './stream/wire-messages.ts';

/** The furthest a message may be moved by the grid, unless another limit is given. */
export const GRID_LIMIT_MICROS = 2_700;

export interface PreparedSong {
  readonly image: PlayerImage;
  /** The image read back, as the player will play it. */
  readonly played: PlayedImage;
  /** What the plan puts on the wire; the image plays exactly these. */
  readonly wireBytes: Uint8Array;
  /** What a stop plays; empty where the board has no key for it. */
  readonly silenceBytes: Uint8Array;
  readonly events: number;
  readonly stackBytes: number;
  /** Of the board's memory: image, and the stack where it lies in it. */
  readonly memoryBytes: number;
  /** What is left of the board's memory; below 0 where the song does not fit. */
  readonly freeBytes: number;
  readonly gridMicros: number;
  readonly gridErrorMaxMicros: number;
  /** A byte's furthest from the moment its grid step and the bytes before it give it. */
  readonly worstLateMicros: number;
}

/**
 * A song as the machine will play it: arranged, planned for a wire whose bytes take the player's own slot, put on
 * a grid, packed, and placed behind the player. Undefined where there is nothing to play.
 * @throws {RangeError} for an image past 64 KiB
 */
export function prepareSong(
  { columns, tempoMap, durationMicros }: Pick<Timeline, 'columns' | 'tempoMap' | 'durationMicros'>,
  arrangement: Arrangement,
  machine: PlayerMachine,
  limitMicros: number = GRID_LIMIT_MICROS,
): PreparedSong | undefined {
  const unitMicros = unitMicrosOf(machine);
  const slotUnits = slotUnitsOf(machine);
  const traits: WireTraits = {
    ...MIDI_WIRE,
    baud: (MIDI_WIRE.bitsPerByte * 1_000_000) / (slotUnits * unitMicros),
  };
  const { plan } = planSong(withSharedStatus(columns), arrangement, traits, { order: 'packed' });
  const song = wireMessagesOf(settledOrder(plan, traits), traits);
  if (song.count === 0) return undefined;
  const byteMicros = slotUnits * unitMicros;
  const messages = followedBy(song, endSilence(song), byteMicros);
  const silence = machine.stop && followedBy(NOTHING, stopSilence(song), byteMicros);
  const quarterMicros = longestTempo(tempoMap, durationMicros);
  const packed = packStream(messages, silence, quarterMicros, machine, limitMicros);
  const { image, played, worstLateUnits } = placedInTime(packed, machine);
  const stackBytes = stackBytesOf(machine.cpu, played.deepest);
  const memoryBytes = memoryBytesOf(machine.cpu, image.bytes.length, stackBytes);
  return {
    image,
    played,
    wireBytes: messages.bytes,
    silenceBytes: silence?.bytes ?? new Uint8Array(0),
    events: song.count,
    stackBytes,
    memoryBytes,
    freeBytes: machine.to - machine.from - memoryBytes,
    gridMicros: packed.stepUnits * unitMicros,
    gridErrorMaxMicros: packed.errorMicros,
    worstLateMicros: worstLateUnits * unitMicros,
  };
}

function longestTempo({ stretches }: TempoMap, durationMicros: number): number {
  let longest = -1;
  let quarter = 500_000;
  for (const [index, stretch] of stretches.entries()) {
    const length = (stretches[index + 1]?.micros ?? durationMicros) - stretch.micros;
    if (length <= longest) continue;
    longest = length;
    quarter = stretch.microsPerQuarter;
  }
  return quarter;
}
