import { classifySysEx, type SysExClass } from '../midi/universal-sysex.ts';
import { PayloadKind } from './payload-kind.ts';
import { sharedU8 } from './shared-columns.ts';
import type { TimelineColumns } from './timeline.ts';

/** Enough of a message to know it by: id, device, two sub-ids, and the F7 behind them. */
const HEAD_BYTES = 8;
const SYSEX = 0xf0;
const CONTINUATION = 0xf7;
const END_OF_SYSEX = 0xf7;

type Payloads = Pick<
  TimelineColumns,
  'status' | 'track' | 'payload' | 'payloadBytes' | 'payloadStart' | 'payloadLength'
>;

/**
 * The one judge of SysEx in songs: for each payload row what the whole message is that it belongs to (see
 * `PayloadKind`). A message is whole when an F0 event and the packets behind it hold data bytes and one closing F7,
 * and nothing else. A packet counts only directly behind the packet before it, on the same track and among all that
 * is sent (SMF 1.1, section 2.3): what comes between would end the SysEx on the wire (MIDI 1.0, Table I).
 * @param rows rows of F0 and F7, ascending
 */
export function payloadKindsOf(columns: Payloads, rows: readonly number[]): Uint8Array {
  const kinds = sharedU8(columns.payloadStart.length);
  for (let at = 0; at < rows.length; at += 1) {
    if (columns.status[rows[at]!] !== SYSEX) continue; // an escape, or a packet without its beginning: broken
    const last = lastPacket(columns, rows, at);
    const kind = kindOf(columns, rows, at, last);
    for (; at < last; at += 1) kinds[columns.payload[rows[at]!]!] = kind;
    kinds[columns.payload[rows[last]!]!] = kind;
  }
  return kinds;
}

/** Place among `rows` of the last packet of the message that begins at `at`. */
function lastPacket(columns: Payloads, rows: readonly number[], at: number): number {
  const { status, track } = columns;
  let last = at;
  while (!ends(columns, rows[last]!)) {
    const next = rows[last]! + 1;
    if (rows[last + 1] !== next || status[next] !== CONTINUATION || track[next] !== track[next - 1]) break;
    last += 1;
  }
  return last;
}

function ends({ payload, payloadBytes, payloadStart, payloadLength }: Payloads, row: number): boolean {
  const length = payloadLength[payload[row]!]!;
  return length > 0 && payloadBytes[payloadStart[payload[row]!]! + length - 1] === END_OF_SYSEX;
}

function kindOf(columns: Payloads, rows: readonly number[], first: number, last: number): number {
  const { payload, payloadBytes, payloadStart, payloadLength } = columns;
  const head = new Uint8Array(HEAD_BYTES);
  let length = 0;
  let status = 0;
  for (let packet = first; packet <= last; packet += 1) {
    const start = payloadStart[payload[rows[packet]!]!]!;
    const end = start + payloadLength[payload[rows[packet]!]!]!;
    if (packet === first && end === start) return PayloadKind.broken; // an F0 without anything is no beginning
    for (let i = start; i < end; i += 1) {
      if (length < HEAD_BYTES) head[length] = payloadBytes[i]!;
      length += 1;
      if (payloadBytes[i]! >= 0x80) status += 1;
    }
  }
  if (status !== 1 || !ends(columns, rows[last]!)) return PayloadKind.broken;
  const kind = kindOfClass(classifySysEx(head, 0, Math.min(length, HEAD_BYTES)));
  // A packet alone brings nothing back into force, so it is not sent again after a seek.
  return last > first ? Math.min(kind, PayloadKind.momentary) : kind;
}

function kindOfClass({ kind, held, lasting, reset }: SysExClass): number {
  if (kind === 'empty') return PayloadKind.broken;
  if (held) return PayloadKind.own;
  return reset ? PayloadKind.reset : lasting ? PayloadKind.lasting : PayloadKind.momentary;
}
