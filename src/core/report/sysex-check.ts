import { type SystemReset, systemResetAt } from '../instrument/reset-heard.ts';
import { isHeldBack } from '../timeline/payload-kind.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { rowBytes } from '../wire/message-length.ts';
import { payloadKindOf } from '../wire/payload-kind-of.ts';
import type { SysExCheck } from './song-check.ts';

/** What a song holds of SysEx: what would be held back, and whether it begins with a General MIDI reset. */
export function sysExCheckOf(columns: TimelineColumns): SysExCheck {
  let messages = 0;
  let heldBack = 0;
  let longestBytes = 0;
  let reset: SystemReset | null = null;
  for (let row = 0; row < columns.count; row += 1) {
    if (columns.status[row]! < 0xf0) continue;
    messages += 1;
    longestBytes = Math.max(longestBytes, rowBytes(columns, row));
    const kind = payloadKindOf(columns, row);
    if (isHeldBack(kind)) heldBack += 1;
    reset ??= systemResetAt(columns, row) ?? null;
  }
  return { messages, heldBack, longestBytes, reset };
}
