/** Memory as a HEX file gives it: from its lowest address to its highest; what no record fills is 0. */
export interface HexMemory {
  readonly loadAddress: number;
  readonly bytes: Uint8Array;
}

/** Thrown for a text that is not Intel HEX, or one for more memory than 16 bits address. */
export class UnreadableHex extends Error {
  override readonly name = 'UnreadableHex';

  constructor(
    /** Line, from 1. */
    readonly line: number,
    readonly reason: string,
  ) {
    super(`line ${line}: ${reason}`);
  }
}

const KIND = { data: 0, end: 1, segment: 2, start: 3, linear: 4, linearStart: 5 } as const;
const MEMORY = 0x1_0000;

/**
 * Reads Intel HEX (Hexadecimal Object File Format Specification, 1988). Records may come in any order; records of an
 * upper address are taken where it is 0, and start addresses are passed over: an image says its own.
 * @throws UnreadableHex
 */
export function readHexRecords(text: string): HexMemory {
  const memory = new Uint8Array(MEMORY);
  const filled = new Uint8Array(MEMORY);
  let from = MEMORY;
  let to = 0;
  let hasEnd = false;
  const lines = text.split(/\r\n|\r|\n/);
  for (const [index, raw] of lines.entries()) {
    const line = index + 1;
    const record = raw.trim();
    if (record === '' || record === '\x1a') continue;
    if (hasEnd) throw new UnreadableHex(line, 'there is a record behind the end');
    const { kind, address, data } = recordOf(record, line);
    if (kind === KIND.end) hasEnd = true;
    else if (kind === KIND.data) {
      if (address + data.length > MEMORY) throw new UnreadableHex(line, 'it goes past address FFFF');
      for (const [at, byte] of data.entries()) {
        if (filled[address + at] === 1 && memory[address + at] !== byte)
          throw new UnreadableHex(
            line,
            `address ${(address + at).toString(16).toUpperCase()} is filled twice`,
          );
        memory[address + at] = byte;
        filled[address + at] = 1;
      }
      from = Math.min(from, address);
      to = Math.max(to, address + data.length);
    } else if (kind === KIND.segment || kind === KIND.linear) {
      if (data.some((byte) => byte !== 0)) throw new UnreadableHex(line, 'it goes past address FFFF');
    } else if (kind !== KIND.start && kind !== KIND.linearStart) {
      throw new UnreadableHex(line, `there is no record of kind ${kind}`);
    }
  }
  if (!hasEnd) throw new UnreadableHex(lines.length, 'the end record is missing: it was cut');
  if (to <= from) throw new UnreadableHex(lines.length, 'there are no data in it');
  return { loadAddress: from, bytes: memory.slice(from, to) };
}

function recordOf(record: string, line: number) {
  if (!/^:([0-9A-Fa-f]{2}){5,}$/.test(record)) throw new UnreadableHex(line, 'this is no record');
  const bytes = Uint8Array.from(record.slice(1).match(/../g)!, (pair) => Number.parseInt(pair, 16));
  if (bytes[0] !== bytes.length - 5) throw new UnreadableHex(line, 'its length is not what it says');
  if ((bytes.reduce((sum, byte) => sum + byte, 0) & 0xff) !== 0)
    throw new UnreadableHex(line, 'its checksum is wrong');
  return {
    kind: bytes[3]!,
    address: (bytes[1]! << 8) | bytes[2]!,
    data: bytes.subarray(4, -1),
  };
}
