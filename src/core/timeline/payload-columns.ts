import type { Song } from '../smf/song.ts';
import { payloadKindsOf } from './payload-kinds.ts';
import { payloadRows } from './payload-rows.ts';
import type { SentColumns } from './sent-columns.ts';
import { sharedU8, sharedU32 } from './shared-columns.ts';
import type { TimelineFindings } from './timeline-finding.ts';

/** SysEx and escape bytes in playing order, in shared memory. */
export interface PayloadColumns {
  readonly payloadBytes: Uint8Array;
  readonly payloadStart: Uint32Array;
  readonly payloadLength: Uint32Array;
  /** What each is: one of `PayloadKind`. */
  readonly payloadKind: Uint8Array;
}

const SYSEX = 0xf0;
const CONTINUATION = 0xf7;
const END_OF_SYSEX = 0xf7;

/**
 * Copies the bytes of all F0 and F7 rows together, and numbers `sent.payload` anew to match. A SysEx cut into
 * packets stays in its packets, each at its own time (SMF 1.1, section 2.3).
 */
export function payloadColumnsOf(
  song: Song,
  sent: SentColumns,
  metaCount: number,
  findings: TimelineFindings,
): PayloadColumns {
  const { payloads, bytes } = song;
  // Where only metas have bytes, there is nothing to look for in a million rows.
  const rows = payloads.count > metaCount ? payloadRows(sent.status) : [];
  const total = rows.reduce((sum, row) => sum + payloads.length[sent.payload[row]!]!, 0);
  const columns = {
    payloadBytes: sharedU8(total),
    payloadStart: sharedU32(rows.length),
    payloadLength: sharedU32(rows.length),
  };
  let filled = 0;
  for (const [next, row] of rows.entries()) {
    const payload = sent.payload[row]!;
    const start = payloads.start[payload]!;
    const length = payloads.length[payload]!;
    columns.payloadBytes.set(bytes.subarray(start, start + length), filled);
    columns.payloadStart[next] = filled;
    columns.payloadLength[next] = length;
    sent.payload[row] = next;
    filled += length;
    if (isOpen(sent.status[row]!, bytes, start, length)) judgeOpenSysEx(sent, row, start, findings);
  }
  return { ...columns, payloadKind: payloadKindsOf({ ...sent, ...columns }, rows) };
}

function isOpen(status: number, bytes: Uint8Array, start: number, length: number): boolean {
  return status === SYSEX && (length === 0 || bytes[start + length - 1] !== END_OF_SYSEX);
}

/** After an open F0 the next thing sent must be its continuation (SMF 1.1, section 2.3). */
function judgeOpenSysEx(sent: SentColumns, row: number, offset: number, findings: TimelineFindings): void {
  if (sent.status[row + 1] === CONTINUATION) return;
  let later = row + 1;
  while (later < sent.count && sent.status[later]! < SYSEX) later += 1;
  if (sent.status[later] !== CONTINUATION) return; // never ended: the reader has said so
  findings.add('sysex-interrupted', offset, (place) => ({ place: place(sent.tick[row]!) }));
}
