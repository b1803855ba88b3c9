import { DATA_BYTES, isRealTime } from '../midi/status.ts';

/**
 * The MIDI command section (RFC 6295, section 3): a header of one or two bytes, then commands, each after the first with
 * the ticks since the one before it.
 *
 *   B J Z P LEN   B: LEN has twelve bits, not four · J: a journal follows · Z: the first command has a delta time too
 *                 · P: the first status byte was not in the source
 *
 * A SysEx may go in segments (section 3.2): the first ends in F0, the middle ones begin with F7 and end in F0, the
 * last begins with F7 and ends in F7. F7 … F4 takes back what came before it; F5 ends one whose F7 never came.
 */
export interface ListedCommand {
  /** Ticks since the packet's timestamp. */
  readonly ticks: number;
  /** Status byte first; a segment of SysEx with the bytes that bound it. */
  readonly bytes: Uint8Array;
}

export interface CommandSection {
  readonly commands: readonly ListedCommand[];
  readonly hasJournal: boolean;
  /** First byte after the section. */
  readonly end: number;
}

/** Bytes of commands that a section can hold. */
export const LONGEST_LIST = 4095;
const LONGEST_SHORT_LIST = 15;
const MOST_TICKS = (1 << 28) - 1;

/**
 * @param commands in order, the first at the packet's own timestamp; `LONGEST_LIST` bytes at most
 * @returns the section as bytes, saying that a journal follows
 */
export function writeCommandSection(commands: readonly ListedCommand[]): Uint8Array {
  const list: number[] = [];
  let before = 0;
  commands.forEach(({ ticks, bytes }, index) => {
    if (index > 0) pushDelta(list, Math.min(Math.max(0, ticks - before), MOST_TICKS));
    before = Math.max(before, ticks);
    for (const byte of bytes) list.push(byte);
  });
  if (list.length > LONGEST_LIST) throw new RangeError('too many commands for one packet');
  if (list.length <= LONGEST_SHORT_LIST) return Uint8Array.of(JOURNAL | list.length, ...list);
  return Uint8Array.of(LONG | JOURNAL | (list.length >> 8), list.length & 0xff, ...list);
}

/** Undefined where the bytes are no such section. */
export function readCommandSection(
  bytes: Uint8Array,
  start: number,
  end: number,
): CommandSection | undefined {
  if (start >= end) return undefined;
  const head = bytes[start]!;
  let length = head & 0x0f;
  let at = start + 1;
  if ((head & LONG) !== 0) {
    if (at >= end) return undefined;
    length = (length << 8) | bytes[at]!;
    at += 1;
  }
  const listEnd = at + length;
  if (listEnd > end) return undefined;
  const commands: ListedCommand[] = [];
  const place = { at, status: 0, ticks: 0 };
  for (let first = true; place.at < listEnd; first = false) {
    if ((!first || (head & DELTA_FIRST) !== 0) && !readDelta(bytes, place, listEnd)) return undefined;
    // A list may end with a delta time that no command follows (section 3).
    if (place.at === listEnd) break;
    const command = readCommand(bytes, place, listEnd);
    if (command === undefined) return undefined;
    commands.push({ ticks: place.ticks, bytes: command });
  }
  return { commands, hasJournal: (head & JOURNAL) !== 0, end: listEnd };
}

const LONG = 0x80;
const JOURNAL = 0x40;
const DELTA_FIRST = 0x20;

interface Place {
  at: number;
  /** Running status within the list; 0 for none. */
  status: number;
  ticks: number;
}

function pushDelta(list: number[], ticks: number): void {
  for (let shift = 21; shift > 0; shift -= 7) {
    if (ticks >>> shift > 0) list.push(0x80 | ((ticks >>> shift) & 0x7f));
  }
  list.push(ticks & 0x7f);
}

function readDelta(bytes: Uint8Array, place: Place, end: number): boolean {
  let ticks = 0;
  for (let octets = 0; octets < 4 && place.at < end; octets += 1) {
    const byte = bytes[place.at]!;
    place.at += 1;
    ticks = (ticks << 7) | (byte & 0x7f);
    if (byte >= 0x80) continue;
    place.ticks += ticks;
    return true;
  }
  return false;
}

function readCommand(bytes: Uint8Array, place: Place, end: number): Uint8Array | undefined {
  const first = bytes[place.at]!;
  if (first === 0xf0 || first === 0xf7) return readSegment(bytes, place, end);
  const status = first >= 0x80 ? first : place.status;
  if (first >= 0x80) place.at += 1;
  // F4 and F5 are undefined by MIDI 1.0 and stand only at the end of a segment.
  if (status === 0 || status === 0xf4 || status === 0xf5) return undefined;
  const length = DATA_BYTES[status]!;
  if (place.at + length > end) return undefined;
  const command = new Uint8Array(1 + length);
  command[0] = status;
  for (let i = 0; i < length; i += 1) {
    const byte = bytes[place.at + i]!;
    if (byte >= 0x80) return undefined;
    command[1 + i] = byte;
  }
  place.at += length;
  if (!isRealTime(status)) place.status = status < 0xf0 ? status : 0;
  return command;
}

function readSegment(bytes: Uint8Array, place: Place, end: number): Uint8Array | undefined {
  const from = place.at;
  for (let at = from + 1; at < end; at += 1) {
    const byte = bytes[at]!;
    if (byte < 0x80 || isRealTime(byte)) continue;
    if (byte !== 0xf7 && byte !== 0xf0 && byte !== 0xf4 && byte !== 0xf5) return undefined;
    place.at = at + 1;
    place.status = 0;
    return bytes.slice(from, at + 1);
  }
  return undefined;
}
