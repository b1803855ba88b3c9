import { type CodeTable, TABLE_CODES, tableBytes } from './code-table.ts';
import { codingOf } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { nextTable, plainTable } from './next-table.ts';
import { evenOutlook, type Outlook, outlookOf } from './outlook.ts';
import { referencedParts } from './references.ts';
import type { ReferencedParts } from './stream-parts.ts';

/** What is spent on a song: rounds in which pairs are added, in which the table settles, and in which the references do. */
export interface Effort {
  readonly growing: number;
  readonly settling: number;
  readonly polishing: number;
  /** So many symbols of a song decide on its table. */
  readonly deciding: number;
  /** A song of more symbols goes through the references once only: it does not fit any memory. */
  readonly long: number;
}
const ALL: Effort = { growing: 8, settling: 4, polishing: 5, deciding: 60_000, long: 150_000 };
/** Enough to hold one way of writing a song against another. */
export const FEW_ROUNDS: Effort = { ...ALL, growing: 3, settling: 1, polishing: 0 };

export interface PackedSymbols {
  readonly table: CodeTable;
  readonly parts: ReferencedParts;
  /** What the parts were chosen by: good for choosing again within other limits. */
  readonly outlook: Outlook;
  readonly size: number;
}

/**
 * Waits, status bytes and pairs share the codes of a table: each gets one by how often references leave it standing.
 * That depends on the references, and these on the table and on what they cost further on, so it goes round many
 * times; the smallest is taken.
 */
export function packedSymbols(
  symbols: Int32Array,
  limits: LevelLimits,
  { growing, settling, polishing, deciding: most, long }: Effort = ALL,
): PackedSymbols {
  const deciding = symbols.subarray(0, most);
  let table = plainTable(deciding);
  // Looked for only when something is packed by it.
  let outlookNow = () => evenOutlook(deciding.length);
  let best: PackedSymbols | undefined;
  const pack = (part: Int32Array): PackedSymbols => {
    const coding = codingOf(table);
    const outlook = outlookNow();
    const parts = referencedParts(part, coding, outlook, limits);
    const packed = { table, parts, outlook, size: parts.offset[parts.count]! + tableBytes(table) };
    if (best === undefined || packed.size < best.size) best = packed;
    outlookNow = () => outlookOf(part, coding, parts, limits);
    return packed;
  };
  for (let round = 0; round < growing + settling; round += 1) {
    const { parts } = pack(deciding);
    const pairs = Math.ceil((TABLE_CODES * Math.min(growing, round + 1)) / growing);
    table = nextTable(table, parts, pairs);
  }
  table = best!.table;
  if (deciding.length < symbols.length) {
    outlookNow = () => evenOutlook(symbols.length);
    best = undefined;
    pack(symbols);
  }
  if (symbols.length <= long) for (let round = 0; round < polishing; round += 1) pack(symbols);
  return best!;
}
