import { FAULT_KINDS, type FaultKind } from '../midi/stream-fault.ts';
import { bytes, counts, numbers } from './growing-column.ts';
import type { HeardMusic } from './heard-music.ts';
import { NO_STANDSTILLS, type Standstills } from './standstills.ts';

/** Longer than a slow player needs between two messages of a chord. */
export const GAP_MICROS = 6000;
/** More is no recording of a song; the rest is passed over. */
const MOST_NOTES = 4_000_000;
const MOST_FAULTS = 200_000;
/** A key struck a thousand times and never let go must not make each note-off dearer. */
const MOST_WAITING = 1000;
/** Waits for the release of a note that is none of these. */
const BEFORE = -1;

/** Messages and faults, in order → `HeardMusic`. */
export class HeardFold {
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
  readonly #sysEx = { micros: numbers(), cut: bytes(), message: counts(), bytes: bytes(), end: counts() };
  readonly #fault = { micros: numbers(), kind: bytes(), message: counts() };
  readonly #byKind = new Array<number>(FAULT_KINDS).fill(0);
  /** Notes that sound, oldest first: two strikes of a key want two note-offs (MIDI 1.0, A-4). */
  readonly #sounding = new Array<number[] | undefined>(2048);
  readonly #said = { status: bytes(), data1: bytes(), data2: bytes() };
  readonly #bursts = numbers();
  readonly #burstMessage = counts();
  #began = Number.NaN;
  #lastMessage = Number.NEGATIVE_INFINITY;
  readonly #surplus = counts();
  #messages = 0;
  #before = 0;

  /** @param micros when its first byte began */
  message(status: number, data1: number, data2: number, micros: number): void {
    if (status >= 0xf8) return;
    if (micros - this.#lastMessage > GAP_MICROS && this.#bursts.length < MOST_NOTES) {
      this.#bursts.push(micros);
      this.#burstMessage.push(this.#messages);
    }
    this.#lastMessage = micros;
    if (Number.isNaN(this.#began)) this.#began = micros;
    const kind = status & 0xf0;
    if (kind === 0x90 && data2 > 0) this.#strike(status, data1, data2, micros);
    else if (kind === 0x80 || kind === 0x90) this.#release(((status & 15) << 7) | data1, micros);
    else if (status < 0xf0) {
      if (kind === 0xb0 && data1 >= 120) this.#mode(status & 15, data1, micros);
      this.#state.micros.push(micros);
      this.#state.status.push(status);
      this.#state.data1.push(data1);
      this.#state.data2.push(data2);
    }
    this.#say(status, data1, data2);
    if (status < 0xf0) this.#before = status;
  }

  /** @param micros when it ended */
  sysEx(content: Uint8Array, isCut: boolean, micros: number): void {
    if (Number.isNaN(this.#began)) this.#began = micros;
    this.#sysEx.micros.push(micros);
    this.#sysEx.cut.push(isCut ? 1 : 0);
    this.#sysEx.message.push(this.#messages);
    for (const byte of content) this.#sysEx.bytes.push(byte);
    this.#sysEx.end.push(this.#sysEx.bytes.length);
    this.#say(0xf0, 0, 0);
  }

  fault(kind: FaultKind, micros: number): void {
    this.#byKind[kind]! += 1;
    if (this.#fault.kind.length >= MOST_FAULTS) return;
    this.#fault.micros.push(micros);
    this.#fault.kind.push(kind);
    this.#fault.message.push(this.#messages);
  }

  /** This is a part of a recording, whose first message came then. */
  beganBefore(micros: number): void {
    this.#began = micros;
  }

  /** A key sounds already as this begins: its release is no surplus. @param voice channel · 128 + key */
  soundsAlready(voice: number): void {
    this.#waitingOn(voice).push(BEFORE);
  }

  /**
   * What has come so far.
   * @param byteCount bytes of the stream
   * @param isTorn of `HeardMusic`
   * @param standstills when the listener itself stood still
   */
  music(
    hasTimes: boolean,
    byteCount: number,
    isTorn: boolean,
    standstills: Standstills = NO_STANDSTILLS,
  ): HeardMusic {
    const { micros, channel, key, velocity, offMicros, message, before } = this.#on;
    return {
      hasTimes,
      beganMicros: this.#began,
      lastMicros: this.#messages > 0 ? Math.max(this.#began, this.#lastMessage) : Number.NaN,
      isTorn,
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
      surplusOffs: this.#surplus.whole(),
      state: {
        count: this.#state.micros.length,
        micros: this.#state.micros.whole(),
        status: this.#state.status.whole(),
        data1: this.#state.data1.whole(),
        data2: this.#state.data2.whole(),
      },
      sysEx: {
        count: this.#sysEx.micros.length,
        micros: this.#sysEx.micros.whole(),
        cut: this.#sysEx.cut.whole(),
        message: this.#sysEx.message.whole(),
        bytes: this.#sysEx.bytes.whole(),
        end: this.#sysEx.end.whole(),
      },
      faults: {
        count: this.#fault.micros.length,
        micros: this.#fault.micros.whole(),
        kind: this.#fault.kind.whole(),
        message: this.#fault.message.whole(),
        byKind: [...this.#byKind],
      },
      bursts: this.#bursts.whole(),
      burstMessage: this.#burstMessage.whole(),
      standstills,
      messages: this.#messages,
      bytes: byteCount,
      said: {
        status: this.#said.status.whole(),
        data1: this.#said.data1.whole(),
        data2: this.#said.data2.whole(),
      },
    };
  }

  #say(status: number, data1: number, data2: number): void {
    this.#messages += 1;
    this.#said.status.push(status);
    this.#said.data1.push(data1);
    this.#said.data2.push(data2);
  }

  #waitingOn(voice: number): number[] {
    this.#sounding[voice] ??= [];
    return this.#sounding[voice];
  }

  #strike(status: number, key: number, velocity: number, micros: number): void {
    const on = this.#on;
    if (on.micros.length >= MOST_NOTES) return;
    const waiting = this.#waitingOn(((status & 15) << 7) | key);
    if (waiting.length < MOST_WAITING) waiting.push(on.micros.length);
    on.micros.push(micros);
    on.channel.push(status & 15);
    on.key.push(key);
    on.velocity.push(velocity);
    on.offMicros.push(Number.NaN);
    on.message.push(this.#messages);
    on.before.push(this.#before);
  }

  #release(voice: number, micros: number): void {
    const note = this.#sounding[voice]?.shift();
    if (note === undefined) this.#surplus.push(this.#messages);
    else if (note !== BEFORE) this.#on.offMicros.set(note, micros);
  }

  /** All Sound Off, All Notes Off and the modes that imply it (MIDI 1.0, p. 20–26) end what sounds. */
  #mode(channel: number, number: number, micros: number): void {
    if (number === 121 || number === 122) return;
    for (let key = 0; key < 128; key += 1) {
      const voice = (channel << 7) | key;
      for (const note of this.#sounding[voice] ?? [])
        if (note !== BEFORE) this.#on.offMicros.set(note, micros);
      this.#sounding[voice] = undefined;
    }
  }
}
