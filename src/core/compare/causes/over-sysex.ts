import { Fault } from '../../midi/stream-fault.ts';
import type { Evidence } from './evidence.ts';

/** Messages after a SysEx within which a gap is that SysEx's. */
const REACH = 3;

/**
 * What follows a SysEx is lost until the next status byte: the player left the status out, which SysEx has cancelled
 * (MIDI 1.0, p. A-2). Seen by stray data bytes behind SysEx, or by notes that are missing right behind it.
 */
export function overSysEx({ heard, written, timeline, matched, coverage }: Evidence): string | undefined {
  const after = new Set<number>();
  for (const message of heard.sysEx.message) after.add(message + 1);
  if (after.size === 0) return undefined;
  let strayAfter = 0;
  let stray = 0;
  const { faults } = heard;
  const sites = new Set<number>();
  // Stray data that an F7 ends are a SysEx whose F0 is gone.
  const ended = new Set<number>();
  let truncated = 0;
  for (let n = 0; n < faults.count; n += 1) {
    if (faults.kind[n] === Fault.strayEnd) ended.add(faults.message[n]!);
    if (faults.kind[n] === Fault.truncated) truncated += 1;
  }
  for (let n = 0; n < faults.count; n += 1) {
    if (faults.kind[n] !== Fault.strayData || ended.has(faults.message[n]!)) continue;
    stray += 1;
    if (!after.has(faults.message[n]!)) continue;
    strayAfter += 1;
    sites.add(faults.message[n]!);
  }
  // Where more messages are broken anywhere, a status byte behind a SysEx is one of the bytes that are lost.
  if (sites.size > truncated && strayAfter > 0.6 * stray) {
    return `after ${sites.size} of ${heard.sysEx.count} SysEx messages data bytes came without a status (${strayAfter} bytes)`;
  }
  if (faults.count > 0) return undefined;
  const { columns } = timeline;
  let lost = 0;
  let lostAfter = 0;
  for (let note = 0; note < written.count; note += 1) {
    if (matched.matching.heardOf[note]! >= 0 || coverage.isUnheard[note] === 1) continue;
    lost += 1;
    const row = written.row[note]!;
    for (let before = row - 1; before >= Math.max(0, row - REACH); before -= 1) {
      if (columns.status[before]! >= 0xf0) {
        lostAfter += 1;
        break;
      }
    }
  }
  if (lostAfter < 3 || lostAfter < 0.6 * lost) return undefined;
  return `${lostAfter} of the ${lost} notes that are missing were the next after a SysEx`;
}
