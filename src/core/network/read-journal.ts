import {
  type ChannelJournal,
  Chapter,
  type ControllerLog,
  type Journal,
  ParameterField,
  type ParameterLog,
} from './journal.ts';

type Draft = { -readonly [Key in keyof ChannelJournal]: ChannelJournal[Key] };

/**
 * Reads journals, packet after packet. Most channels of most packets are told as in the packet before: they are read once, and the
 * same value is handed back for the same bytes.
 */
export class JournalReader {
  readonly #bytes: Uint8Array[] = Array.from({ length: 16 }, () => new Uint8Array(0));
  readonly #read: (ChannelJournal | undefined)[] = [];

  /** Undefined where the bytes are no journal; nothing of it is then to be believed. */
  read(bytes: Uint8Array, start: number, end: number): Journal | undefined {
    if (start + 3 > end) return undefined;
    const head = bytes[start]!;
    const checkpoint = (bytes[start + 1]! << 8) | bytes[start + 2]!;
    let at = start + 3;
    if ((head & HAS_SYSTEM) !== 0) {
      if (at + 2 > end) return undefined;
      const length = ((bytes[at]! & 0x03) << 8) | bytes[at + 1]!;
      if (length < 2) return undefined;
      at += length;
    }
    const channels: ChannelJournal[] = [];
    const count = (head & HAS_CHANNELS) === 0 ? 0 : 1 + (head & 0x0f);
    for (let i = 0; i < count; i += 1) {
      if (at + 3 > end) return undefined;
      const length = ((bytes[at]! & 0x03) << 8) | bytes[at + 1]!;
      if (length < 3 || at + length > end) return undefined;
      const channel = this.#channel(bytes.subarray(at, at + length));
      if (channel === undefined) return undefined;
      channels.push(channel);
      at += length;
    }
    return at > end ? undefined : { checkpoint, channels };
  }

  #channel(bytes: Uint8Array): ChannelJournal | undefined {
    const channel = (bytes[0]! >> 3) & 0x0f;
    const known = this.#bytes[channel]!;
    if (known.length === bytes.length && known.every((byte, at) => byte === bytes[at]))
      return this.#read[channel];
    this.#bytes[channel] = Uint8Array.from(bytes);
    this.#read[channel] = new ChannelReader(bytes, 0, bytes.length).read();
    return this.#read[channel];
  }
}

const HAS_SYSTEM = 0x40;
const HAS_CHANNELS = 0x20;

/** Reads one channel journal. Reading past the end gives zeros, and what was read is then thrown away. */
class ChannelReader {
  readonly #bytes: Uint8Array;
  readonly #end: number;
  readonly #contents: number;
  readonly #draft: Draft;
  #at: number;

  constructor(bytes: Uint8Array, start: number, end: number) {
    this.#bytes = bytes;
    this.#end = end;
    this.#contents = bytes[start + 2]!;
    this.#at = start + 3;
    this.#draft = {
      channel: (bytes[start]! >> 3) & 0x0f,
      controllers: [],
      parameters: [],
      isLastSelected: false,
      struck: [],
      released: [],
      keyPressure: [],
    };
  }

  read(): ChannelJournal | undefined {
    const draft = this.#draft;
    if (this.#has(Chapter.program)) this.#program();
    if (this.#has(Chapter.controllers)) draft.controllers = this.#pairs().map(controllerLog);
    if (this.#has(Chapter.parameters)) this.#parameters();
    if (this.#has(Chapter.bend)) draft.bend = this.#seven() | (this.#seven() << 7);
    if (this.#has(Chapter.notes)) this.#notes();
    if (this.#has(Chapter.extras)) this.#pairs(); // overlapping strikes are not told apart
    if (this.#has(Chapter.pressure)) draft.pressure = this.#seven();
    if (this.#has(Chapter.keyPressure))
      draft.keyPressure = this.#pairs().map(([key, pressure]) => ({
        key: key & 127,
        pressure: pressure & 127,
      }));
    return this.#at > this.#end ? undefined : draft;
  }

  #has(chapter: number): boolean {
    return (this.#contents & chapter) !== 0;
  }

  #byte(): number {
    this.#at += 1;
    return this.#at > this.#end ? 0 : this.#bytes[this.#at - 1]!;
  }

  #seven(): number {
    return this.#byte() & 127;
  }

  /** A list with its length less one before it. */
  #pairs(count = 1 + this.#seven()): [number, number][] {
    return Array.from({ length: count }, () => [this.#byte(), this.#byte()]);
  }

  #program(): void {
    const number = this.#seven();
    const [msb, lsb] = [this.#byte(), this.#seven()];
    this.#draft.program = { number, bank: msb >= 0x80 ? ((msb & 127) << 7) | lsb : undefined };
  }

  #parameters(): void {
    const start = this.#at;
    const head = (this.#byte() << 8) | this.#byte();
    const end = start + (head & 0x3ff);
    if ((head & PENDING) !== 0) this.#byte();
    // U, W and Z shorten the logs in ways that we do not read: their values are then not mended.
    const logs: ParameterLog[] = [];
    while ((head & SHORTENED) === 0 && this.#at < end && this.#at < this.#end) logs.push(this.#parameter());
    this.#draft.parameters = logs;
    this.#draft.isLastSelected = (head & SELECTED) !== 0 && logs.length > 0;
    this.#at = Math.max(this.#at, end);
  }

  #parameter(): ParameterLog {
    const low = this.#seven();
    const high = this.#byte();
    const flags = this.#byte();
    const has = (field: number): boolean => (flags & field) !== 0;
    const log: { -readonly [Key in keyof ParameterLog]: ParameterLog[Key] } = {
      isNonRegistered: high >= 0x80,
      number: ((high & 127) << 7) | low,
    };
    if (has(ParameterField.entryMsb)) log.msb = this.#seven();
    if (has(ParameterField.entryLsb)) log.lsb = this.#seven();
    if (has(ParameterField.buttonA)) {
      const word = (this.#byte() << 8) | this.#byte();
      log.steps = word >= 0x8000 ? -(word & 0x3fff) : word & 0x3fff;
    }
    if (has(ParameterField.buttonC)) this.#at += 2;
    if (has(ParameterField.count)) this.#at += 1;
    return log;
  }

  #notes(): void {
    let count = this.#seven();
    const bits = this.#byte();
    const [low, high] = [bits >> 4, bits & 0x0f];
    if (count === 127 && low === 15 && high === 0) count = 128;
    this.#draft.struck = this.#pairs(count).map(([key, velocity]) => ({
      key: key & 127,
      velocity: velocity & 127,
      play: velocity >= 0x80,
    }));
    const released: number[] = [];
    for (let octet = low; octet <= high; octet += 1) {
      const off = this.#byte();
      for (let bit = 0; bit < 8; bit += 1) if ((off & (0x80 >> bit)) !== 0) released.push(octet * 8 + bit);
    }
    this.#draft.released = released;
  }
}

const PENDING = 0x4000;
const SELECTED = 0x2000;
const SHORTENED = 0x1c00;

function controllerLog([number, value]: [number, number]): ControllerLog {
  if (value < 0x80) return { number: number & 127, tool: 'value', value };
  return { number: number & 127, tool: (value & 0x40) === 0 ? 'toggle' : 'count', value: value & 63 };
}
