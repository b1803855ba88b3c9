import { isHeldBack } from '../../timeline/payload-kind.ts';
import { payloadOf } from '../../timeline/payload-rows.ts';
import { rowBytes } from '../../wire/message-length.ts';
import { payloadKindOf } from '../../wire/payload-kind-of.ts';
import { RunningStatus } from '../../wire/running-status.ts';
import type { SendPlan } from '../../wire/send-plan.ts';
import { simulatePlan } from '../../wire/simulate-plan.ts';
import type { WireTraits } from '../../wire/wire-traits.ts';

/** What a plan puts on the wire, as bytes with running status. Message m has `bytes[first[m]] … bytes[first[m + 1] − 1]`. */
export interface WireMessages {
  readonly count: number;
  readonly bytes: Uint8Array;
  readonly first: Uint32Array;
  /** When the first byte begins, from the first message of all, in microseconds. */
  readonly startMicros: Float64Array;
}

export const NOTHING: WireMessages = {
  count: 0,
  bytes: new Uint8Array(0),
  first: new Uint32Array(1),
  startMicros: new Float64Array(0),
};

/** More messages behind, at once, with running status from the last on. */
export function followedBy(
  messages: WireMessages,
  more: readonly number[][],
  byteMicros: number,
): WireMessages {
  const { count, bytes, first, startMicros } = messages;
  const last = count > 0 ? startMicros[count - 1]! + (first[count]! - first[count - 1]!) * byteMicros : 0;
  const added: number[] = [];
  const starts: number[] = [];
  const micros: number[] = [];
  let status = 0;
  for (const message of more) {
    starts.push(bytes.length + added.length);
    micros.push(last + added.length * byteMicros);
    added.push(...(message[0] === status ? message.slice(1) : message));
    status = message[0]!;
  }
  return {
    count: count + more.length,
    bytes: Uint8Array.from([...bytes, ...added]),
    first: Uint32Array.from([...first.subarray(0, count), ...starts, bytes.length + added.length]),
    startMicros: Float64Array.from([...startMicros, ...micros]),
  };
}

/** The makers' own SysEx is left out, as in playing without leave to send it. */
export function wireMessagesOf(plan: SendPlan, traits: WireTraits): WireMessages {
  const run = simulatePlan(plan, traits);
  const { columns } = plan;
  const running = new RunningStatus(traits.runningStatus);
  const out = new Uint8Array(run.bytes);
  const first = new Uint32Array(plan.count + 1);
  const startMicros = new Float64Array(plan.count);
  let count = 0;
  let at = 0;
  for (let row = 0; row < plan.count; row += 1) {
    const source = plan.event[row]!;
    const status = columns.status[source]!;
    const isSystem = status >= 0xf0;
    if (isSystem && isHeldBack(payloadKindOf(columns, source))) continue;
    startMicros[count] = run.startMicros[row]!;
    first[count] = at;
    const whole = rowBytes(columns, source);
    const isWhole = running.send(status, whole, startMicros, count) === whole;
    if (isSystem) {
      if (status === 0xf0) out[at++] = 0xf0;
      const body = payloadOf(columns, source);
      out.set(body, at);
      at += body.length;
    } else {
      if (isWhole) out[at++] = status;
      out[at++] = columns.data1[source]!;
      if (whole === 3) out[at++] = columns.data2[source]!;
    }
    count += 1;
  }
  first[count] = at;
  const begin = startMicros[0]!;
  for (let message = 0; message < count; message += 1) startMicros[message]! -= begin;
  return {
    count,
    bytes: out.subarray(0, at),
    first: first.subarray(0, count + 1),
    startMicros: startMicros.subarray(0, count),
  };
}
