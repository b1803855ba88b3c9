import type { TimelineColumns } from '../../src/core/timeline/timeline.ts';
import { columnsOfRows, type MessageRow } from '../core/wire/columns-of.ts';

/**
 * A song of about so many events without an end: four notes each 10 ms on sixteen channels, each 80 ms long, with
 * controllers and bends between. Made from a fixed seed (a linear congruential generator), so always the same.
 */
export function denseSong(events: number): TimelineColumns {
  let seed = 1;
  const below = (limit: number) => {
    seed = (Math.imul(seed, 1_103_515_245) + 12_345) & 0x7fff_ffff;
    return Math.floor((seed / 0x8000_0000) * limit);
  };
  const rows: MessageRow[] = [];
  const open: [micros: number, status: number, key: number][] = [];
  for (let micros = 0; rows.length < events; micros += 10_000) {
    while (open.length > 0 && open[0]![0] <= micros) {
      const [, status, key] = open.shift()!;
      rows.push({ micros, bytes: [status, key, 0] });
    }
    for (let i = 0; i < 4; i++) {
      const channel = below(16);
      const key = 36 + below(48);
      rows.push({ micros, bytes: [0x90 | channel, key, 64] });
      open.push([micros + 80_000, 0x80 | channel, key]);
    }
    if (below(2) === 0) rows.push({ micros, bytes: [0xb0 | below(16), 7, below(128)] });
    if (below(5) === 0) rows.push({ micros, bytes: [0xe0 | below(16), 0, below(128)] });
  }
  return columnsOfRows(rows);
}
