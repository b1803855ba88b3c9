import { codeTable, tableBytes } from '../../../../src/core/export/stream/code-table.ts';
import { levelLimits, MOST_AT_ONCE } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { smallestStream, type Table } from './plain-stream.ts';

/**
 * The fewest bytes of table and stream for a song, of all tables that might be worth their bytes: any of the codes that are
 * used twice, with up to two pairs of neighbours that stand together three times. Takes long from some twenty symbols on.
 */
export function smallestImage(song: readonly number[], atMost: number): number {
  const limits = levelLimits(song.length, MOST_AT_ONCE);
  let smallest = atMost;
  for (const table of tablesFor(song)) {
    const own = tableBytes({ ...codeTable([], [], []), ...table });
    smallest = Math.min(smallest, own + smallestStream(song, table, limits, smallest - own));
  }
  return smallest;
}

function* tablesFor(song: readonly number[]): Generator<Table> {
  const coded = [...new Set(song)].filter((one) => one >= 0x80 && song.indexOf(one) < song.lastIndexOf(one));
  const neighbours = song.slice(1).map((other, at) => [song[at]!, other] as const);
  const often = neighbours.filter(
    (pair, at) =>
      neighbours.filter((other) => `${other}` === `${pair}`).length > 2 &&
      neighbours.findIndex((other) => `${other}` === `${pair}`) === at,
  );
  for (const own of subsets(coded)) {
    const isShort = (one: number) => one < 0x80 || own.includes(one);
    const waits = own.filter((one) => one >= SongSymbol.wait).map((one) => one - SongSymbol.wait);
    const statuses = own.filter((one) => one < SongSymbol.wait);
    for (const pairs of subsets(often.filter((pair) => pair.every(isShort))))
      if (pairs.length <= 2) yield { waits, statuses, pairs };
  }
}

function subsets<Of>(all: readonly Of[]): Of[][] {
  return Array.from({ length: 2 ** all.length }, (_, bits) =>
    all.filter((_one, at) => (bits >> at) % 2 === 1),
  );
}
