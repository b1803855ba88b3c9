import type { Payloads, SongEvents } from './song.ts';

/**
 * More events than this are left out. Two bytes is the least a message takes on the wire, so 8,388,608 of
 * them keep a MIDI 1.0 wire busy for an hour and a half without a gap: no song comes near, and a hostile file
 * cannot make us fill memory.
 */
export const MOST_EVENTS = 8_388_608;

/** Events that so many bytes of a file can hold: the shortest has two (delta, data in running status). */
export function mostEventsIn(byteLength: number): number {
  return Math.min(MOST_EVENTS, (byteLength >>> 1) + 1);
}

/** Place in the columns to go back to. */
export interface ColumnsMark {
  readonly count: number;
  readonly payloadCount: number;
}

/**
 * The song's columns while they are filled. They are made once at the most the file can need: pages that are
 * never written to cost no memory, and nothing is copied.
 */
export class SongColumns {
  readonly capacity: number;
  readonly tick: Uint32Array<ArrayBuffer>;
  readonly status: Uint8Array<ArrayBuffer>;
  readonly data1: Uint8Array<ArrayBuffer>;
  readonly data2: Uint8Array<ArrayBuffer>;
  /** Written only where there is one. */
  readonly payload: Uint32Array<ArrayBuffer>;
  count = 0;

  #payloadStart = new Uint32Array(256);
  #payloadLength = new Uint32Array(256);
  #payloadCount = 0;
  readonly #trackStart: number[] = [];

  /** @param capacity events that there may be */
  constructor(capacity: number) {
    this.capacity = capacity;
    this.tick = new Uint32Array(this.capacity);
    this.status = new Uint8Array(this.capacity);
    this.data1 = new Uint8Array(this.capacity);
    this.data2 = new Uint8Array(this.capacity);
    this.payload = new Uint32Array(this.capacity);
  }

  get isFull(): boolean {
    return this.count >= this.capacity;
  }

  get trackCount(): number {
    return this.#trackStart.length;
  }

  beginTrack(): void {
    this.#trackStart.push(this.count);
  }

  addChannel(tick: number, status: number, data1: number, data2: number): void {
    const row = this.count++;
    this.tick[row] = tick;
    this.status[row] = status;
    this.data1[row] = data1;
    this.data2[row] = data2;
  }

  addPayload(tick: number, status: number, type: number, start: number, length: number): void {
    if (this.#payloadCount === this.#payloadStart.length) this.#growPayloads();
    this.#payloadStart[this.#payloadCount] = start;
    this.#payloadLength[this.#payloadCount] = length;
    this.addChannel(tick, status, type, 0);
    this.payload[this.count - 1] = this.#payloadCount++;
  }

  /** Forgets tracks in which there was no event. */
  forgetTracks(): void {
    this.#trackStart.length = 0;
  }

  /** Takes the latest event away again, which must be one with a payload. */
  dropLast(): void {
    this.count -= 1;
    this.payload[this.count] = 0;
    this.#payloadCount -= 1;
  }

  mark(): ColumnsMark {
    return { count: this.count, payloadCount: this.#payloadCount };
  }

  backTo(mark: ColumnsMark): void {
    this.payload.fill(0, mark.count, this.count);
    this.count = mark.count;
    this.#payloadCount = mark.payloadCount;
  }

  events(): SongEvents {
    const count = this.count;
    return {
      count,
      tick: this.tick.subarray(0, count),
      status: this.status.subarray(0, count),
      data1: this.data1.subarray(0, count),
      data2: this.data2.subarray(0, count),
      payload: this.payload.subarray(0, count),
    };
  }

  payloads(): Payloads {
    const count = this.#payloadCount;
    return {
      count,
      start: this.#payloadStart.subarray(0, count),
      length: this.#payloadLength.subarray(0, count),
    };
  }

  /** First row of each track, then the row after the last one. */
  trackStarts(): Uint32Array {
    return Uint32Array.from([...this.#trackStart, this.count]);
  }

  #growPayloads(): void {
    const start = new Uint32Array(this.#payloadStart.length * 2);
    const length = new Uint32Array(start.length);
    start.set(this.#payloadStart);
    length.set(this.#payloadLength);
    this.#payloadStart = start;
    this.#payloadLength = length;
  }
}
