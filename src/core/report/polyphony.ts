import type { Timeline } from '../timeline/timeline.ts';
import { placeOfRow } from './place-of.ts';
import type { PolyphonyCheck } from './song-check.ts';
import { SoundingKeys } from './sounding-keys.ts';

export interface Polyphony {
  readonly check: PolyphonyCheck;
  /** [16] most keys sounding at once on each channel. */
  readonly mostOnChannel: Uint16Array;
  /** Channels (0–15) with a pedal still down at the end. */
  readonly pedalsLeftDown: readonly number[];
}

/** How many keys sound at once, pedals included, against the voices of a module. Moments are judged whole. */
export function polyphonyOf(timeline: Timeline, voices: number, points: number): Polyphony {
  const { columns, durationMicros } = timeline;
  const keys = new SoundingKeys(columns);
  const mostOnChannel = new Uint16Array(16);
  const curve = new Array<number>(points).fill(0);
  const pointMicros = Math.max(1, durationMicros) / points;
  let most = 0;
  let mostRow = -1;
  let overMicros = 0;
  let before = 0;
  /** Bit c: something came on channel c at this moment. */
  let touched = 0;
  let point = 0;
  for (let row = 0; row < columns.count; row += 1) {
    const micros = columns.micros[row]!;
    // What sounded since the last moment sounded in every stretch up to this one.
    while (point < points - 1 && micros >= (point + 1) * pointMicros) curve[++point] = before;
    keys.take(row);
    if (columns.status[row]! < 0xf0) touched |= 1 << (columns.status[row]! & 0x0f);
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
    curve[point] = Math.max(curve[point]!, total);
    before = total;
    const next = row + 1 < columns.count ? columns.micros[row + 1]! : durationMicros;
    if (total > voices) overMicros += Math.max(0, next - micros);
  }
  while (point < points - 1) curve[++point] = before;
  return {
    check: {
      voices,
      most,
      at: placeOfRow(timeline, mostRow),
      overSeconds: overMicros / 1_000_000,
      curve,
    },
    mostOnChannel,
    pedalsLeftDown: keys.pedalsDown(),
  };
}
