import type { TimelineColumns } from '../../src/core/timeline/timeline.ts';
import { microsPerByte, type WireTraits } from '../../src/core/wire/wire-traits.ts';

/**
 * The onset bound for those who must keep the sound: note-ons, and what the file puts between two notes of one
 * channel at one moment. Such a message can go neither before the first note (it would begin in another state
 * than the file gives it) nor after the second. Counted by hand like the bound itself, sharing no code with the
 * plan; messages that repeat what holds are left out, for they change nothing.
 */
export function heldBound(columns: TimelineColumns, traits: WireTraits): number {
  const byte = microsPerByte(traits);
  const values = new Map<number, number>();
  let free = 0;
  let worst = 0;
  let row = 0;
  while (row < columns.count) {
    const due = columns.micros[row]!;
    const sent: number[][] = Array.from({ length: 16 }, () => []);
    const waiting: number[][] = Array.from({ length: 16 }, () => []);
    for (; row < columns.count && columns.micros[row] === due; row++) {
      const status = columns.status[row]!;
      const channel = status & 15;
      const [data1, data2] = [columns.data1[row]!, columns.data2[row]!];
      const isNote = status >> 4 === 9 && data2 > 0;
      if (isNote) {
        sent[channel]!.push(...waiting[channel]!, status);
        waiting[channel] = [];
      } else if (status >> 4 >= 0xa && status < 0xf0) {
        const key = status >> 4 === 0xb ? (status << 8) | data1 : status << 8;
        const value = status >> 4 === 0xb ? data2 : data1 | (data2 << 8);
        if (values.get(key) !== value && sent[channel]!.length > 0) waiting[channel]!.push(status);
        values.set(key, value);
      }
    }
    let bytes = 0;
    for (const statuses of sent) {
      statuses.forEach((status, i) => {
        const whole = (status & 0xe0) === 0xc0 ? 2 : 3;
        bytes += traits.runningStatus === 'ours' && i > 0 && statuses[i - 1] === status ? whole - 1 : whole;
      });
    }
    if (bytes === 0) continue;
    free = Math.max(free, due) + bytes * byte;
    worst = Math.max(worst, free - due);
  }
  return worst;
}
