import { crc16 } from '../../../../src/core/export/tape/crc16.ts';

/** The head of an image, offset by offset as docs/stream.md has it. */
export function headOf(image: Uint8Array) {
  const word = (at: number) => image[at]! + 256 * image[at + 1]!;
  const blank = image.map((byte, at) => (at === 8 || at === 9 ? 0 : byte));
  return {
    jump: [image[0], word(1)],
    mark: String.fromCharCode(image[3]!, image[4]!),
    version: image[5],
    length: word(6),
    isWhole: word(8) === crc16(blank),
    waits: word(10),
    statuses: word(12),
    pairs: word(14),
    stream: word(16),
    firstStatus: image[18]!,
    firstPair: image[19]!,
    firstReference: image[20]!,
    slotUnits: image[21]!,
    unitsPerSecond: word(22) + 65_536 * image[24]!,
    stepParts: 256 * word(25) + image[27]!,
    loadAddress: word(28),
    flags: image[30]!,
  };
}

export interface PlainSong {
  readonly bytes: number[];
  /** When each is due: at its step of the grid, or a slot after the one before it. Units from the start. */
  readonly dueUnits: number[];
  readonly deepest: number;
  /** Where the stream went on behind its end. */
  readonly end: number;
}

/** Plays an image from an address on, symbol by symbol as docs/stream.md says, each level a call. */
export function playPlainly(image: Uint8Array, from = headOf(image).stream): PlainSong {
  const head = headOf(image);
  const at = (address: number) => {
    const byte = image[address - head.loadAddress];
    if (byte === undefined) throw new Error(`outside of the image: ${address}`);
    return byte;
  };
  const song = { bytes: [] as number[], dueUnits: [] as number[], deepest: 0, end: 0 };
  let steps = 0;
  let free = head.slotUnits;
  const send = (byte: number) => {
    const due = Math.max(free, head.slotUnits + Math.floor((steps * head.stepParts) / 256));
    song.bytes.push(byte);
    song.dueUnits.push(due);
    free = due + head.slotUnits;
  };
  /** @returns the address behind it; undefined at the end */
  const symbol = (address: number, depth: number): number | undefined => {
    song.deepest = Math.max(song.deepest, depth);
    const code = at(address);
    const next = address + 1;
    const many = (first: number, count: number): void => {
      let place = first;
      for (let n = 0; n < count; n += 1) place = symbol(place, depth + 1)!;
    };
    if (code < 0x80) send(code);
    else if (code === 0x80) {
      if (at(next) === 0) return undefined;
      if (at(next) < 0x80) throw new Error('neither a byte to send nor the end');
      send(at(next));
      return next + 1;
    } else if (code === 0x81) {
      steps += at(next);
      return next + 1;
    } else if (code < head.firstPair) steps += at(head.waits + code - 0x82);
    else if (code < head.firstStatus) many(head.pairs + 2 * (code - head.firstPair), 2);
    else if (code < head.firstReference) send(at(head.statuses + code - head.firstStatus));
    else if (code < head.firstReference + 7) {
      many(at(next) + 256 * at(next + 1), code - head.firstReference + 2);
      return next + 2;
    } else if (code === head.firstReference + 7) {
      many(at(next + 1) + 256 * at(next + 2), at(next));
      return next + 3;
    } else {
      many(next + 1 - (256 * (128 - Math.floor(code / 2)) - at(next)), code % 2 === 1 ? 3 : 2);
      return next + 1;
    }
    return next;
  };
  for (let place: number | undefined = from; place !== undefined; place = symbol(place, 0)) song.end = place;
  return song;
}
