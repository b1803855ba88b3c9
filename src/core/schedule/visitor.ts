import { ActiveSensing, SENSING_LIMIT_MICROS } from '../midi/active-sensing.ts';
import { Cc } from '../midi/controllers.ts';
import { PEDALS } from '../midi/pedals.ts';
import { isNoteOff, isNoteOn } from '../midi/status.ts';
import { StreamParser, type StreamSink, SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../midi/stream-parser.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { AT_LENGTH, At, type Outlet } from './outlet.ts';
import { ReceiverMemory } from './receiver-memory.ts';
import { BEND_CENTRE, BEND_UNSET, UNSET } from './rest-values.ts';
import { Time } from './scheduler-times.ts';
import { type TransportBoard, TransportSlot } from './transport-board.ts';

/** Which channel somebody who plays along is put on: 0–15, or each message on the channel it came on. */
export type VisitorChannel = number | 'as-played';

/** How somebody who plays along is there: what `TransportSlot.visitorInput` says. */
export const VisitorInput = { none: 0, there: 1, gone: 2, ended: 3 } as const;

/** The way to the outlet (`Sender`), which remembers what was sent. */
interface VisitSender {
  readonly outlet: Outlet;
  visit(status: number, data1: number, data2: number, at: Float64Array): void;
}

/**
 * Somebody who plays along with the song: bytes of a keyboard in, whole messages out, ahead of the song's. Their
 * strikes are counted apart from the song's, so that each releases its own, and a silence ends both.
 *
 * On a channel of their own, which the song leaves alone, everything of theirs counts, and is said again after a
 * jump (`said`). On a channel that the song plays too: notes, pedals, modulation, bend and pressure; what would
 * change the song's sound stays out. Nowhere: clocks and other system messages, omni, mono and local control; SysEx
 * as in a song, short, and no resets.
 */
export class Visitor implements StreamSink {
  /** [2048] strikes sounding, by channel and key. */
  readonly strikes = new Uint16Array(2048);
  /** Bits of the channels that the song has no messages on. */
  readonly own: number;
  /** What they have set. */
  readonly said = new ReceiverMemory();
  readonly #parser = new StreamParser(this);
  readonly #sensing = new ActiveSensing();
  readonly #at = new Float64Array(AT_LENGTH).fill(-1);
  readonly #sysEx = new Uint8Array(LONGEST_SYSEX);
  #sysExLength = 0;
  /** What is heard came before the run began. */
  #isPast = false;
  /** Bits of the channels they played on. */
  played = 0;

  readonly #sender: VisitSender;
  readonly #times: Float64Array;
  readonly #board: TransportBoard;
  readonly #channel: VisitorChannel;
  readonly #allowSysEx: boolean;
  readonly #hears: { readonly audible: number };

  /** @param hears which channels one hears, as it stands now */
  constructor(
    sender: VisitSender,
    times: Float64Array,
    board: TransportBoard,
    columns: TimelineColumns,
    channel: VisitorChannel,
    allowSysEx: boolean,
    hears: { readonly audible: number },
  ) {
    this.#sender = sender;
    this.#times = times;
    this.#board = board;
    this.#channel = channel;
    this.#allowSysEx = allowSysEx;
    this.#hears = hears;
    this.own = 0xffff & ~channelsOf(columns);
  }

  /**
   * Bytes of theirs. What was set before the run began counts as it begins; what was struck then is over.
   * @param arrived register: run time at which the bytes were there
   */
  hear(bytes: Uint8Array, count: number, arrived: Float64Array): void {
    this.#isPast = arrived[0]! < 0;
    this.#at[At.dueMicros] = Math.max(0, arrived[0]!);
    this.#at[At.releaseMicros] = this.#times[Time.now]!;
    this.#sensing.heard(arrived[0]!);
    this.#parser.feed(bytes, 0, count);
  }

  /** The keyboard is gone, or bytes of it were lost: nothing of theirs will be ended by them. */
  leave(): void {
    this.#parser.finish();
    this.#sysExLength = 0;
    this.release(0xffff);
    for (let channel = 0; channel < 16; channel += 1) this.#rest(channel);
  }

  /** Ends their strikes on these channels. What they hold on with a pedal the caller ends, with everybody's. */
  release(channels: number): void {
    this.#stampNow();
    const meant = channels & this.played;
    for (let channel = 0; channel < 16; channel += 1) {
      if ((meant & (1 << channel)) === 0) continue;
      for (let key = 0; key < 128; key += 1) this.releaseKey(channel, key);
    }
  }

  releaseKey(channel: number, key: number): void {
    const cell = channel * 128 + key;
    for (; this.strikes[cell]! > 0; this.strikes[cell]! -= 1) this.#pass(0x80 | channel, key, 64);
  }

  /** When Active Sensing runs out, voices go off (MIDI 1.0, p. 32). True when it just did. */
  sensingExpired(): boolean {
    return this.#sensing.expired(this.#times[Time.now]!);
  }

  /** Lowers `into[0]` to the run time at which `sensingExpired` should be asked again. */
  nextLook(into: Float64Array): void {
    if (!this.#sensing.armed) return;
    const next = this.#sensing.heardMicros + SENSING_LIMIT_MICROS + 1;
    if (next < into[0]!) into[0] = next;
  }

  message(status: number, data1: number, data2: number): void {
    if (status >= 0xf0) {
      if (status === ACTIVE_SENSING) this.#sensing.sensed(this.#at[At.dueMicros]!);
      else this.#hold();
      return;
    }
    const channel = this.#channel === 'as-played' ? status & 15 : this.#channel;
    const byte = (status & 0xf0) | channel;
    const cell = channel * 128 + data1;
    this.played |= 1 << channel;
    if (isNoteOn(byte, data2)) {
      if (this.#isPast) return;
      if ((this.#hears.audible & (1 << channel)) === 0) {
        this.#sender.outlet.heldBack(channel);
        return;
      }
      if (this.strikes[cell] === MOST_STRIKES) return;
      this.strikes[cell]! += 1;
      this.#board.numbers[TransportSlot.visitorNotes]! += 1;
    } else if (isNoteOff(byte, data2)) {
      // Of a strike that was held back, or that a silence has ended meanwhile.
      if (this.strikes[cell] === 0) return;
      this.strikes[cell]! -= 1;
    } else if (!this.#mayPass(byte, channel, data1)) {
      this.#hold();
      return;
    } else this.said.fold(byte, data1, data2);
    this.#pass(byte, data1, data2);
  }

  sysEx(bytes: Uint8Array, length: number, part: number): void {
    if ((part & SYSEX_FIRST) !== 0) this.#sysExLength = 0;
    const { length: room } = this.#sysEx;
    for (let i = 0; i < length && this.#sysExLength < room; i += 1) {
      this.#sysEx[this.#sysExLength] = bytes[i]!;
      this.#sysExLength += 1;
    }
    if ((part & SYSEX_LAST) === 0) return;
    const kind = classifySysEx(this.#sysEx, 0, this.#sysExLength);
    const isWhole = (part & SYSEX_CUT) === 0 && this.#sysEx[this.#sysExLength - 1] === 0xf7;
    if (!isWhole || kind.reset || (kind.held && !this.#allowSysEx)) {
      this.#hold();
      return;
    }
    this.#board.numbers[TransportSlot.visitorMessages]! += 1;
    this.#sender.outlet.visitSysEx?.(this.#sysEx, this.#sysExLength, this.#at);
  }

  fault(): void {
    // Not a message: nothing to pass on.
  }

  #mayPass(byte: number, channel: number, data1: number): boolean {
    const kind = byte & 0xf0;
    const isMode = kind === 0xb0 && data1 >= Cc.allSoundOff;
    if (isMode && data1 !== Cc.resetAllControllers) {
      // Their notes have their note-offs, and the song's are none of theirs.
      if (data1 !== Cc.localControl) this.release(1 << channel);
      return false;
    }
    if ((this.own & (1 << channel)) !== 0) return true;
    if (kind === 0xc0) return false;
    return kind !== 0xb0 || data1 === Cc.modulation || PEDALS.some(({ controller }) => controller === data1);
  }

  /** Pedals, bend, modulation and pressure of theirs go back to rest. */
  #rest(channel: number): void {
    const { said } = this;
    if ((this.played & (1 << channel)) === 0) return;
    for (let i = 0; i < PEDALS.length; i += 1) this.#restControl(channel, PEDALS[i]!.controller);
    this.#restControl(channel, Cc.modulation);
    if (said.bend[channel] !== BEND_UNSET && said.bend[channel] !== BEND_CENTRE) {
      this.#set(0xe0 | channel, BEND_CENTRE & 127, BEND_CENTRE >> 7);
    }
    if (said.pressure[channel] !== UNSET && said.pressure[channel] !== 0) this.#set(0xd0 | channel, 0, 0);
  }

  #restControl(channel: number, controller: number): void {
    const value = this.said.value[channel * 128 + controller]!;
    if (value !== UNSET && value > 0) this.#set(0xb0 | channel, controller, 0);
  }

  #set(status: number, data1: number, data2: number): void {
    this.said.fold(status, data1, data2);
    this.#pass(status, data1, data2);
  }

  #pass(status: number, data1: number, data2: number): void {
    this.#board.numbers[TransportSlot.visitorMessages]! += 1;
    this.#sender.visit(status, data1, data2, this.#at);
  }

  #hold(): void {
    this.#board.numbers[TransportSlot.visitorHeld]! += 1;
  }

  #stampNow(): void {
    this.#at[At.dueMicros] = this.#times[Time.now]!;
    this.#at[At.releaseMicros] = this.#times[Time.now]!;
  }
}

/** Bits of the channels that a song has messages on. */
export function channelsOf({ status, count }: TimelineColumns): number {
  let channels = 0;
  for (let row = 0; row < count; row += 1) if (status[row]! < 0xf0) channels |= 1 << (status[row]! & 15);
  return channels;
}

const ACTIVE_SENSING = 0xfe;
/** The song waits for as long as a SysEx takes: 80 ms of a MIDI wire. */
const LONGEST_SYSEX = 256;
/** Whoever strikes a key so often without letting go is a fault. */
const MOST_STRIKES = 200;
