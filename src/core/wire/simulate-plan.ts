import { isNoteOn } from '../timeline/note-row.ts';
import { isHeldBack, PayloadKind } from '../timeline/payload-kind.ts';
import { rowBytes } from './message-length.ts';
import { payloadKindOf } from './payload-kind-of.ts';
import type { SendPlan } from './send-plan.ts';
import { WireAt, WireModel } from './wire-model.ts';
import type { WireTraits } from './wire-traits.ts';

export interface WireRunOptions {
  /** Send the makers' own SysEx and escapes too (`--allow-sysex`). Without it they take no wire. */
  readonly allowSysEx?: boolean;
  /**
   * Silence a module wants after a reset message, in microseconds. 0 by default. Before the first note the song
   * itself waits for it (docs/timing.md), so that nothing is late.
   */
  readonly settleMicros?: number;
  /** Bits of the channels one hears; the notes of the others take no wire, as with mute and solo. All by default. */
  readonly audibleChannels?: number;
}

/** What a plan does on a wire, computed. Rows are plan rows; times are song microseconds at tempo scale 1. */
export interface WireRun {
  readonly plan: SendPlan;
  readonly traits: WireTraits;
  readonly audibleChannels: number;
  /** First byte begins, last byte ends. A row that is held back has both at its release. */
  readonly startMicros: Float64Array;
  readonly endMicros: Float64Array;
  /** Bytes on the wire, and when the last one ended. */
  readonly bytes: number;
  readonly wireEndMicros: number;
  /** Highest share (0–1) of any 100 ms and any 1 s window, and where the 100 ms one ended. */
  readonly peakLoad100ms: number;
  readonly peakLoad1s: number;
  readonly peakLoadEndMicros: number;
  /** Longest time any message waited for the wire after its release. */
  readonly worstBacklogMicros: number;
}

const ALL_CHANNELS = 0xffff;

/** Runs a plan over the wire model: when each byte of each message is on the line. Linear in rows. */
export function simulatePlan(plan: SendPlan, traits: WireTraits, options: WireRunOptions = {}): WireRun {
  const { columns, count, event, releaseMicros } = plan;
  const { allowSysEx = false, settleMicros = 0, audibleChannels = ALL_CHANNELS } = options;
  const { afterSysExMicros = 0 } = traits;
  const model = new WireModel(traits);
  const at = new Float64Array(3);
  const hold = new Float64Array(1);
  const startMicros = new Float64Array(count);
  const endMicros = new Float64Array(count);
  let worstBacklogMicros = 0;
  let wireEndMicros = 0;
  let heard = false;
  for (let row = 0; row < count; row += 1) {
    const source = event[row]!;
    const status = columns.status[source]!;
    const release = releaseMicros[row]!;
    const sysEx = status >= 0xf0 ? payloadKindOf(columns, source) : undefined;
    if (sysEx !== undefined && isHeldBack(sysEx) && !allowSysEx) {
      startMicros[row] = release;
      endMicros[row] = release;
      continue;
    }
    const isNote = status < 0xa0;
    if (isNote && (audibleChannels & (1 << (status & 0x0f))) === 0) {
      startMicros[row] = release;
      endMicros[row] = release;
      continue;
    }
    at[WireAt.ready] = release;
    model.place(status, rowBytes(columns, source), at);
    startMicros[row] = at[WireAt.start]!;
    endMicros[row] = at[WireAt.end]!;
    wireEndMicros = Math.max(wireEndMicros, at[WireAt.end]!);
    worstBacklogMicros = Math.max(worstBacklogMicros, at[WireAt.start]! - release);
    heard ||= isNoteOn(columns, source);
    const rest =
      sysEx === undefined ? 0 : sysEx === PayloadKind.reset && heard ? settleMicros : afterSysExMicros;
    if (rest > 0) {
      hold[0] = at[WireAt.end]! + rest;
      model.hold(hold);
    }
  }
  return {
    plan,
    traits,
    audibleChannels,
    startMicros,
    endMicros,
    bytes: model.bytes,
    wireEndMicros,
    peakLoad100ms: model.load100ms.peak,
    peakLoad1s: model.load1s.peak,
    peakLoadEndMicros: model.load100ms.peakEndMicros,
    worstBacklogMicros,
  };
}
