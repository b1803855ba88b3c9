import { CODE, type CodeTable, codeBytes, FAR_CODES, referenceCode } from '../stream/code-table.ts';
import { SongSymbol } from '../stream/song-symbol.ts';
import type { ReferencedParts } from '../stream/stream-parts.ts';
import { crc16 } from '../tape/crc16.ts';
import { FLAG, IMAGE_HEAD, IMAGE_MARK, IMAGE_VERSION, JUMP, UNIT_PARTS } from './image.ts';
import { playerCodeFor } from './player-code.ts';
import { type PlayerMachine, slotUnitsOf, UNIT_CYCLES } from './player-machine.ts';

/** Player and song as they lie in memory. */
export interface PlayerImage {
  readonly bytes: Uint8Array;
  readonly loadAddress: number;
  /** To be jumped to or called; the same as the load address. */
  readonly startAddress: number;
  readonly source: string;
  /** Values of the names that the source leaves open, for whoever assembles it elsewhere. */
  readonly symbols: Readonly<Record<string, number>>;
  /** The source was assembled from here. */
  readonly codeAddress: number;
  /** The first address behind the code; tables and song follow, which nobody writes to. */
  readonly codeEnd: number;
  /** Code, its head and tables, without the song. */
  readonly playerBytes: number;
  readonly streamBytes: number;
  /** Addresses of the player's two waiting loops, which only count. */
  readonly waitingLoops: readonly number[];
  /** It begins again at its end, and does not return. */
  readonly repeats: boolean;
}

/**
 * @param stepUnits of the grid, in whole 256ths of a unit
 * @throws {RangeError} where 64 KiB are not enough: the caller has asked what fits before
 */
export function makeImage(
  machine: PlayerMachine,
  table: CodeTable,
  parts: ReferencedParts,
  stepUnits: number,
): PlayerImage {
  const base = machine.from;
  const codeAddress = base + IMAGE_HEAD.size;
  const player = playerCodeFor(machine, codeAddress);
  const none = new Proxy({}, { get: () => 0 }) as Record<string, number>;
  const codeEnd = codeAddress + player.assemble(none).bytes.length;
  const streamBytes = parts.offset[parts.count]! + END.length;
  const [[pairs, waits, statuses, stream], end] = placed(codeEnd, [
    table.pairs.length * 2,
    table.waits.length,
    table.statuses.length,
    streamBytes,
  ]);
  if (end > 0x1_0000) throw new RangeError('the image is larger than the memory there can be');
  const silence = stream + silenceOffset(parts);
  const wholeUnits = Math.floor(stepUnits);
  const stepPart = Math.round((stepUnits - wholeUnits) * UNIT_PARTS);
  const words: Record<string, number> = {
    ...player.names,
    STATUS: table.firstStatus,
    PAIR: table.firstPair,
    REF: CODE.references,
    NEAR: CODE.references + FAR_CODES,
    LONG: CODE.references + FAR_CODES - 1,
    STEP_PART: stepPart,
    ...(machine.cpu === 'z80'
      ? {
          STREAM: stream,
          STEP: wholeUnits,
          REF_LESS: CODE.references - 2,
          SILENCE: silence,
          WAITS_LOW: (waits - CODE.firstWait) & 0xff,
          WAITS_HIGH: waits >> 8,
          STATUSES_LOW: (statuses - table.firstStatus) & 0xff,
          STATUSES_HIGH: statuses >> 8,
          PAIRS_LOW: (pairs - 2 * table.firstPair) & 0xff,
        }
      : {
          STEP_LOW: wholeUnits & 0xff,
          STEP_HIGH: wholeUnits >> 8,
          REF_LESS: CODE.references - 3,
          STATUS_LESS: table.firstStatus - 1,
          STREAM_LOW: stream & 0xff,
          STREAM_HIGH: stream >> 8,
          SILENCE_LOW: silence & 0xff,
          SILENCE_HIGH: silence >> 8,
          WAITS: waits,
          STATUSES: statuses,
          PAIRS_LOW: pairs & 0xff,
        }),
    PAIRS_HIGH: pairs >> 8,
  };
  const code = player.assemble(words);
  const bytes = new Uint8Array(end - base);
  bytes.set(code.bytes, IMAGE_HEAD.size);
  bytes.set(table.waits, waits - base);
  bytes.set(table.statuses, statuses - base);
  for (const [index, pair] of table.pairs.entries())
    bytes.set(
      pair.map((one) => codeBytes(table, one)[0]!),
      pairs - base + 2 * index,
    );
  writeStream(bytes.subarray(stream - base), stream, table, parts);
  bytes.set(END, stream + streamBytes - END.length - base);
  const word = (at: number, value: number) => bytes.set([value & 0xff, (value >> 8) & 0xff], at);
  const start = code.labels.get('start')!;
  bytes.set([JUMP[machine.cpu], start & 0xff, start >> 8, ...IMAGE_MARK, IMAGE_VERSION], 0);
  word(IMAGE_HEAD.length, bytes.length);
  word(IMAGE_HEAD.waits, waits);
  word(IMAGE_HEAD.statuses, statuses);
  word(IMAGE_HEAD.pairs, pairs);
  word(IMAGE_HEAD.stream, stream);
  bytes[IMAGE_HEAD.firstStatus] = table.firstStatus;
  bytes[IMAGE_HEAD.firstPair] = table.firstPair;
  bytes[IMAGE_HEAD.firstReference] = CODE.references;
  bytes[IMAGE_HEAD.slotUnits] = slotUnitsOf(machine);
  const unitsPerSecond = Math.round(machine.clockHz / UNIT_CYCLES[machine.cpu]);
  word(IMAGE_HEAD.unitsPerSecond, unitsPerSecond & 0xffff);
  bytes[IMAGE_HEAD.unitsPerSecond + 2] = unitsPerSecond >>> 16;
  word(IMAGE_HEAD.stepUnits, wholeUnits);
  bytes[IMAGE_HEAD.stepPart] = stepPart;
  word(IMAGE_HEAD.loadAddress, base);
  bytes[IMAGE_HEAD.flags] = flagsOf(machine);
  word(IMAGE_HEAD.checksum, crc16(bytes));
  return {
    bytes,
    loadAddress: base,
    startAddress: base,
    symbols: words,
    source: player.source,
    codeAddress,
    codeEnd,
    playerBytes: end - base - streamBytes,
    streamBytes,
    repeats: machine.repeat,
    waitingLoops: player.waits.map((label) => code.labels.get(label)!),
  };
}

/** @returns undefined where what is made does not go into 64 KiB */
export function unlessTooLarge<Song>(make: () => Song): Song | undefined {
  try {
    return make();
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

type Places = readonly [pairs: number, waits: number, statuses: number, stream: number];

/**
 * Puts tables and stream one behind another from `free` on, in the order that wastes least: a table is reached by its low
 * byte alone, so it lies within one page. Hands back their places, and what is free behind them.
 */
function placed(free: number, lengths: Places): readonly [Places, number] {
  let best: readonly [Places, number] | undefined;
  const place = (places: Places, left: readonly number[], at: number): void => {
    if (best !== undefined && at >= best[1]) return;
    if (left.length === 0) best = [places, at];
    for (const one of left) {
      const length = lengths[one]!;
      const isCut = one !== STREAM && length > 0 && at >> 8 !== (at + length - 1) >> 8;
      const from = isCut ? (at | 0xff) + 1 : at;
      const next = places.with(one, from) as unknown as Places;
      place(
        next,
        left.filter((other) => other !== one),
        from + length,
      );
    }
  };
  place([free, free, free, free], [0, 1, 2, STREAM], free);
  return best!;
}

const STREAM = 3;

function flagsOf({ repeat, ready, stop }: PlayerMachine): number {
  return (
    (repeat ? FLAG.repeat : 0) |
    (ready === undefined ? 0 : ready.isLow ? FLAG.readyLow : FLAG.ready) |
    (stop === undefined ? 0 : FLAG.stop)
  );
}

/** What a stop plays stands behind the song's own end; 0 where there is none, since it then is part −1. */
function silenceOffset({ symbol, offset, count }: ReferencedParts): number {
  return offset[symbol.subarray(0, count).indexOf(SongSymbol.end) + 1]!;
}

const END = [CODE.whole, 0];

function writeStream(into: Uint8Array, address: number, table: CodeTable, parts: ReferencedParts): void {
  for (let part = 0; part < parts.count; part += 1) {
    const at = parts.offset[part]!;
    if (parts.symbol[part]! >= 0) {
      into.set(codeBytes(table, parts.symbol[part]!), at);
      continue;
    }
    const source = parts.offset[parts.source[part]!]!;
    into.set(referenceCode(address + at, address + source, parts.length[part]!), at);
  }
}
