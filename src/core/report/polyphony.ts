import type { Instrument } from '../instrument/instrument.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { placeOfRow } from './place-of.ts';
import type { PolyphonyCheck } from './song-check.ts';
import { VoicesUsed } from './voices-used.ts';

export interface Polyphony {
  readonly check: PolyphonyCheck;
  /** Note-ons that come when there are too few voices. */
  readonly overNotes: number;
  /** [16] most keys sounding at once on each channel. */
  readonly mostOnChannel: Uint16Array;
  /** Channels (0–15) with a pedal still down at the end. */
  readonly pedalsLeftDown: readonly number[];
}

/**
 * How many voices a song takes at once on an instrument, pedals and the sounds that die away included, against those
 * there are. Moments are judged whole.
 * @param voices there are; by default the instrument's
 */
export function polyphonyOf(
  timeline: Timeline,
  instrument: Instrument,
  points: number,
  voices = instrument.voices,
): Polyphony {
  const { columns, durationMicros } = timeline;
  const used = new VoicesUsed(columns, instrument);
  const { keys } = used;
  const mostOnChannel = new Uint16Array(16);
  const curve = new Array<number>(points).fill(0);
  const pointMicros = Math.max(1, durationMicros) / points;
  let most = 0;
  let mostRow = -1;
  let overMicros = 0;
  let overNotes = 0;
  let strikes = 0;
  let clock = 0;
  /** Bit c: something came on channel c at this moment. */
  let touched = 0;
  let point = 0;
  const passTo = (micros: number): void => {
    for (let end = clock; end < micros; clock = end) {
      end = Math.min(micros, keys.nextEndMicros());
      if (keys.total > voices) overMicros += end - clock;
      // Every stretch that this reaches into.
      for (; ; point += 1) {
        const edge = point < points - 1 ? (point + 1) * pointMicros : Infinity;
        if (clock < edge && end > point * pointMicros) curve[point] = Math.max(curve[point]!, keys.total);
        if (end < edge) break;
      }
      keys.passTo(end);
    }
  };
  for (let row = 0; row < columns.count; row += 1) {
    const micros = columns.micros[row]!;
    if (micros > clock) passTo(micros);
    used.take(row);
    if (columns.status[row]! < 0xf0) touched |= 1 << (columns.status[row]! & 0x0f);
    if (isNoteOn(columns, row)) strikes += 1;
    const isLastOfMoment = row + 1 === columns.count || columns.micros[row + 1] !== micros;
    if (!isLastOfMoment) continue;
    const { total } = keys;
    for (; touched !== 0; touched &= touched - 1) {
      const channel = 31 - Math.clz32(touched & -touched);
      mostOnChannel[channel] = Math.max(mostOnChannel[channel]!, keys.onChannel[channel]!);
    }
    if (total > most) {
      most = total;
      mostRow = row;
    }
    if (total > voices) overNotes += strikes;
    strikes = 0;
    curve[point] = Math.max(curve[point]!, total);
  }
  passTo(durationMicros);
  return {
    check: {
      voices,
      most,
      at: placeOfRow(timeline, mostRow),
      overSeconds: overMicros / 1_000_000,
      curve,
    },
    overNotes,
    mostOnChannel,
    pedalsLeftDown: keys.pedalsDown(),
  };
}
