import { hexText } from '../../core/midi/hex-text.ts';
import { FAULT_WORDS } from '../../core/midi/stream-fault.ts';
import type { SeenFault } from '../../core/observe/listen-state.ts';
import { clockText } from '../format/moment.ts';

/** A fault of the stream in one line: when, where, what, and its bytes. */
export function faultText({ kind, offset, micros, bytes }: SeenFault): string {
  const hex = hexText(bytes);
  // A log does not tell of each.
  const where = Number.isNaN(offset) ? '' : `byte ${offset}: `;
  return `${clockText(micros)} ${where}${FAULT_WORDS[kind]}${hex === '' ? '' : `: ${hex}`}`;
}
