import { FAULT_KINDS, type FaultKind } from '../midi/stream-fault.ts';
import { StreamParser } from '../midi/stream-parser.ts';
import { bytes, counts, numbers } from './growing-column.ts';
import type { HeardMusic } from './heard-music.ts';
import { MessageTally } from './message-tally.ts';

/** On the wire (MIDI 1.0, p. 1). */
export const MICROS_PER_BYTE = 320;
/** Longer than a slow player needs between two messages of a chord. */
export const GAP_MICROS = 6000;
/** More is no recording of a song; the rest is passed over. */
const MOST_NOTES = 4_000_000;
const MOST_FAULTS = 200_000;

/** Reads a stream as it comes; `music` may be asked for at any time. */
export class HeardReader {
  readonly #parser: StreamParser;
  readonly #on = {
    micros: numbers(),
    channel: bytes(),
    key: bytes(),
    velocity: bytes(),
    offMicros: numbers(),
    message: counts(),
    before: bytes(),
  };
  readonly #state = { micros: numbers(), status: bytes(), data1: bytes(), data2: bytes() };
  readonly #sysEx = { micros: numbers(), cut: bytes(), message: counts() };
  readonly #fault = { micros: numbers(), kind: bytes(), message: counts() };
  readonly #byKind = new Array<number>(FAULT_KINDS).fill(0);
  /** Notes that sound, oldest first: two strikes of a key want two note-offs (MIDI 1.0, A-4). */
  readonly #sounding: number[][] = Array.from({ length: 2048 }, () => []);
  readonly #tally = new MessageTally();
  readonly #dataTally = new MessageTally();
  readonly #bursts = numbers();
  #lastMessage = Number.NEGATIVE_INFINITY;
  #surplus = 0;
  #messages = 0;
  #bytes = 0;
  #micros = 0;
  /** Time of the first byte of the message that is being read. */
  #begin = 0;
  #isFresh = true;
  #before = 0;

  readonly #hasTimes: boolean;

  constructor(hasTimes: boolean) {
    this.#hasTimes = hasTimes;
    this.#parser = new StreamParser({
      message: (status, data1, data2) => this.#message(status, data1, data2),
      sysEx: (_bytes, _length, part) => {
        if ((part & 2) === 0) return;
        this.#sysEx.micros.push(this.#micros);
        this.#sysEx.cut.push((part & 4) === 0 ? 0 : 1);
        this.#sysEx.message.push(this.#messages);
        this.#messages += 1;
        this.#isFresh = true;
      },
      fault: (kind) => this.fault(kind),
    });
  }

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    for (let at = 0; at < bytes.length; at += 1) {
      this.#micros = this.#hasTimes ? micros + at * MICROS_PER_BYTE : this.#bytes * MICROS_PER_BYTE;
      const byte = bytes[at]!;
      if (byte < 0xf8 && (byte >= 0x80 || this.#isFresh)) {
        this.#begin = this.#micros;
        this.#isFresh = false;
      }
      this.#parser.feed(bytes, at, at + 1);
      this.#bytes += 1;
    }
  }

  /** A fault that somebody else saw, as a log's remark tells it. */
  fault(kind: FaultKind): void {
    this.#isFresh = true;
    this.#byKind[kind]! += 1;
    if (this.#fault.kind.length >= MOST_FAULTS) return;
    this.#fault.micros.push(this.#micros);
    this.#fault.kind.push(kind);
    this.#fault.message.push(this.#messages);
  }

  /** Time of the last byte. */
  get micros(): number {
    return this.#micros;
  }

  finish(): HeardMusic {
    this.#parser.finish();
    return this.music();
  }

  /** What has come so far. */
  music(): HeardMusic {
    const { micros, channel, key, velocity, offMicros, message, before } = this.#on;
    return {
      hasTimes: this.#hasTimes,
      on: {
        count: micros.length,
        micros: micros.whole(),
        channel: channel.whole(),
        key: key.whole(),
        velocity: velocity.whole(),
        offMicros: offMicros.whole(),
        message: message.whole(),
        statusBefore: before.whole(),
      },
      surplusOffs: this.#surplus,
      state: {
        count: this.#state.micros.length,
        micros: this.#state.micros.whole(),
        status: this.#state.status.whole(),
        data1: this.#state.data1.whole(),
        data2: this.#state.data2.whole(),
      },
      sysExMicros: this.#sysEx.micros.whole(),
      sysExCut: this.#sysEx.cut.whole(),
      sysExMessage: this.#sysEx.message.whole(),
      faults: {
        count: this.#fault.micros.length,
        micros: this.#fault.micros.whole(),
        kind: this.#fault.kind.whole(),
        message: this.#fault.message.whole(),
        byKind: [...this.#byKind],
      },
      bursts: this.#bursts.whole(),
      messages: this.#messages,
      bytes: this.#bytes,
      tally: this.#tally,
      dataTally: this.#dataTally,
    };
  }

  #message(status: number, data1: number, data2: number): void {
    if (status >= 0xf8) return;
    this.#isFresh = true;
    if (this.#begin - this.#lastMessage > GAP_MICROS && this.#bursts.length < MOST_NOTES)
      this.#bursts.push(this.#begin);
    this.#lastMessage = this.#begin;
    const kind = status & 0xf0;
    if (kind === 0x90 && data2 > 0) this.#strike(status, data1, data2);
    else if (kind === 0x80 || kind === 0x90) this.#release(((status & 15) << 7) | data1);
    else if (status < 0xf0) {
      if (kind === 0xb0 && data1 >= 120) this.#mode(status & 15, data1);
      this.#state.micros.push(this.#begin);
      this.#state.status.push(status);
      this.#state.data1.push(data1);
      this.#state.data2.push(data2);
    }
    this.#messages += 1;
    if (status >= 0xf0) return;
    this.#before = status;
    const isOff = kind === 0x80 || (kind === 0x90 && data2 === 0);
    if (isOff) this.#tally.add(0x80 | (status & 15), data1, 0);
    else this.#tally.add(status, data1, data2);
    if ((status & 0xe0) !== 0xc0) this.#dataTally.add(0, data1, data2);
  }

  #strike(status: number, key: number, velocity: number): void {
    const on = this.#on;
    if (on.micros.length >= MOST_NOTES) return;
    const waiting = this.#sounding[((status & 15) << 7) | key]!;
    // A key struck a thousand times and never let go must not make each note-off dearer.
    if (waiting.length < 1000) waiting.push(on.micros.length);
    on.micros.push(this.#begin);
    on.channel.push(status & 15);
    on.key.push(key);
    on.velocity.push(velocity);
    on.offMicros.push(Number.NaN);
    on.message.push(this.#messages);
    on.before.push(this.#before);
  }

  #release(voice: number): void {
    const note = this.#sounding[voice]!.shift();
    if (note === undefined) this.#surplus += 1;
    else this.#on.offMicros.set(note, this.#begin);
  }

  /** All Sound Off, All Notes Off and the modes that imply it (MIDI 1.0, p. 20–26) end what sounds. */
  #mode(channel: number, number: number): void {
    if (number === 121 || number === 122) return;
    for (let key = 0; key < 128; key += 1) {
      const waiting = this.#sounding[(channel << 7) | key]!;
      for (const note of waiting) this.#on.offMicros.set(note, this.#begin);
      waiting.length = 0;
    }
  }
}
