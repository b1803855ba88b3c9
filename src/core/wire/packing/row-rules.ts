import { Cc } from '../../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { isGlide, isInert, pedalsAfter } from './controller-rules.ts';
import { KnownValues } from './known-values.ts';
import type { OnsetMoments } from './onset-moments.ts';
import type { PackOptions } from './pack-options.ts';

/** What may pass what (docs/wire.md, "Order on a channel"). */
export const RowKind = {
  /** A note-on: leaves at its moment. */
  onset: 0,
  /** A note-off: may pass other keys' notes, never a fence nor its own key. */
  release: 1,
  /** Any other channel message: nothing on its channel passes it. */
  fence: 2,
  /** SysEx: nothing on any channel passes it. */
  barrier: 3,
  /** A controller, bend or pressure that says what holds already: passes notes and is passed, never a fence. */
  repeat: 4,
} as const;

/** No row at all. The largest number V8 keeps without boxing: rows are compared and stored in the hot loops. */
export const NO_ROW = 0x7fff_ffff;

/**
 *   kind      u8   see RowKind
 *   sameKey   u32  the message before this one on the same channel and key, for notes; else NO_ROW
 *   earliest  f64  before this the message may not be handed over (onsets: their moment's target)
 *   strictFrom u32 [16] from this row on, the channel keeps the order of all its messages
 */
export interface RowRules {
  readonly kind: Uint8Array;
  readonly sameKey: Uint32Array;
  readonly earliest: Float64Array;
  readonly strictFrom: Uint32Array;
}

/**
 * One walk in playing order: sorts the rows into kinds and says how early each may go.
 *
 * A fence may go early while its channel is silent: no key struck, no note held by a pedal. Then it may move
 * back to the last thing that happened on the channel. Inert numbers may do so at any time. On a sounding
 * channel controllers, bends and pressure may move a little; programs and mode messages, which end notes on
 * some receivers, keep their moment.
 */
export function rowRulesOf(
  columns: TimelineColumns,
  moments: OnsetMoments,
  options: Required<PackOptions>,
): RowRules {
  const { count, micros, status, data1, data2 } = columns;
  const kind = new Uint8Array(count);
  const sameKey = new Uint32Array(count).fill(NO_ROW);
  const earliest = new Float64Array(count);

  const lastOfKey = new Uint32Array(2048).fill(NO_ROW);
  const struckMicros = new Float64Array(2048);
  const strikes = new Uint16Array(2048);
  const struckKeys = new Uint16Array(16);
  const pedals = new Uint8Array(16);
  const held = new Uint8Array(16);
  const strictFrom = new Uint32Array(16).fill(NO_ROW);
  /** Latest moment of anything so far on the channel, of any fence on it, and of anything at all. */
  const touched = new Float64Array(16).fill(0 - options.leadInMicros);
  const fenced = new Float64Array(16).fill(0 - options.leadInMicros);
  const known = new KnownValues();
  let soundingChannels = 0;
  const sounds = (channel: number) => struckKeys[channel]! > 0 || held[channel]! > 0;

  for (let row = 0; row < count; row += 1) {
    const due = micros[row]!;
    if (status[row]! >= 0xf0) {
      kind[row] = RowKind.barrier;
      let from = due;
      if (soundingChannels === 0) {
        from = due - options.setupEarlyMicros;
        for (let channel = 0; channel < 16; channel += 1) from = Math.max(from, touched[channel]!);
      }
      earliest[row] = Math.min(due, from);
      touched.fill(earliest[row]!);
      fenced.fill(earliest[row]!);
      known.forgetAll();
      continue;
    }
    const channel = status[row]! & 0x0f;
    const soundedBefore = sounds(channel);
    const key = channel * 128 + data1[row]!;
    const strict = row >= strictFrom[channel]!;
    if (isNoteOn(columns, row)) {
      kind[row] = RowKind.onset;
      sameKey[row] = lastOfKey[key]!;
      lastOfKey[key] = row;
      const target = moments.target[moments.momentOf[row]!]!;
      earliest[row] = target;
      struckMicros[key] = due;
      strikes[key]! += 1;
      if (strikes[key] === 1) struckKeys[channel]! += 1;
      touched[channel] = Math.max(touched[channel]!, target);
    } else if (isNoteOff(columns, row)) {
      sameKey[row] = lastOfKey[key]!;
      lastOfKey[key] = row;
      const wasStruck = strikes[key]! > 0;
      if (wasStruck) {
        strikes[key]! -= 1;
        if (strikes[key] === 0) struckKeys[channel]! -= 1;
      }
      if (pedals[channel]) held[channel] = 1;
      kind[row] = strict ? RowKind.fence : RowKind.release;
      const middle = (struckMicros[key]! + due) / 2;
      earliest[row] =
        wasStruck && !strict
          ? Math.min(due, Math.max(due - options.offEarlyMicros, middle, fenced[channel]!))
          : due;
      touched[channel] = Math.max(touched[channel]!, earliest[row]!);
      if (strict) fenced[channel] = due;
    } else {
      const isRepeat = known.isRepeated(status[row]!, data1[row]!, data2[row]!) && !strict;
      kind[row] = isRepeat ? RowKind.repeat : RowKind.fence;
      const isController = (status[row]! & 0xf0) === 0xb0;
      const mayMove = !soundedBefore || (isController && isInert(data1[row]!, data2[row]!));
      const mayEndNotes = (status[row]! & 0xf0) === 0xc0 || (isController && data1[row]! >= Cc.allSoundOff);
      const soundingEarly = mayEndNotes ? 0 : options.stateEarlyMicros;
      const earlyMicros = mayMove ? options.setupEarlyMicros : soundingEarly;
      earliest[row] = Math.min(due, Math.max(due - earlyMicros, touched[channel]!));
      touched[channel] = Math.max(touched[channel]!, earliest[row]!);
      if (!isRepeat) fenced[channel] = touched[channel]!;
      if (isController) {
        pedals[channel] = pedalsAfter(pedals[channel]!, data1[row]!, data2[row]!);
        if (pedals[channel] === 0) held[channel] = 0;
        if (isGlide(data1[row]!, data2[row]!)) strictFrom[channel] = Math.min(strictFrom[channel]!, row);
      }
    }
    if (sounds(channel) !== soundedBefore) soundingChannels += soundedBefore ? -1 : 1;
  }
  return { kind, sameKey, earliest, strictFrom };
}
