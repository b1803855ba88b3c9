import { StreamParser } from '../midi/stream-parser.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { audibleChannels } from './channel-settings.ts';
import { LooseMessages } from './loose-messages.ts';
import type { ReceiverMemory } from './receiver-memory.ts';
import type { Sender } from './sender.ts';
import type { Sounding } from './sounding.ts';
import { type TransportBoard, TransportSlot } from './transport-board.ts';
import { transposedKey } from './transposed-key.ts';
import { trimmedVelocity } from './trimmed-velocity.ts';

/**
 * Turns one event of the timeline into what goes out, by the settings in force: mute, solo, trims, transposition,
 * program override. Note-ons are filtered; state keeps flowing, so that unmuting is right at once.
 */
export class RowSender {
  /** What the song has said so far. */
  readonly song: ReceiverMemory;
  /** Bits of the channels one hears. */
  audible = 0xffff;
  readonly #columns: TimelineColumns;
  readonly #board: TransportBoard;
  readonly #sender: Sender;
  readonly #sounding: Sounding;
  readonly #loose: LooseMessages;
  readonly #looseBytes: StreamParser;
  /** `sender.handed` when loose bytes were last read. */
  #readAt = 0;

  constructor(
    columns: TimelineColumns,
    board: TransportBoard,
    song: ReceiverMemory,
    sender: Sender,
    sounding: Sounding,
  ) {
    this.#columns = columns;
    this.#board = board;
    this.song = song;
    this.#sender = sender;
    this.#sounding = sounding;
    this.#loose = new LooseMessages(this, sender, sounding);
    this.#looseBytes = new StreamParser(this.#loose);
    this.settingsChanged();
  }

  /** Returns the channels that one no longer hears. */
  settingsChanged(): number {
    const before = this.audible;
    this.audible = audibleChannels(this.#board);
    return before & ~this.audible;
  }

  /** Semitones between the song's keys and the sent ones. */
  shift(channel: number): number {
    const own = this.#board.channelTranspose[channel]!;
    const { numbers } = this.#board;
    const isDrums = ((numbers[TransportSlot.drumChannels]! | 0) & (1 << channel)) !== 0;
    return isDrums ? own : own + (numbers[TransportSlot.transpose]! | 0);
  }

  isNoteOn(event: number): boolean {
    return isNoteOn(this.#columns, event);
  }

  noteOn(event: number): void {
    const { status, data1, data2 } = this.#columns;
    const channel = status[event]! & 0x0f;
    if ((this.audible & (1 << channel)) === 0) {
      this.#sounding.withhold(event);
      this.#sender.outlet.heldBack(channel);
      return;
    }
    const key = transposedKey(data1[event]!, this.shift(channel));
    const velocity = trimmedVelocity(data2[event]!, this.#board.velocityTrim[channel]!);
    this.#sender.message(0x90 | channel, key, velocity);
    this.#sounding.strike(event, channel, key);
  }

  /** The note-on is left out: its note-off will be too. */
  skip(event: number): void {
    this.#sounding.withhold(event);
  }

  noteOff(event: number): void {
    const { status, data1, data2, partner } = this.#columns;
    const byte = status[event]!;
    const channel = byte & 0x0f;
    const strike = partner[event]!;
    if (strike === NO_PARTNER) {
      // A surplus note-off does no harm (MIDI 1.0, p. A-4) unless it meets somebody else's strike.
      const key = transposedKey(data1[event]!, this.shift(channel));
      if (this.#sounding.strikes[channel * 128 + key] === 0) this.#sender.message(byte, key, data2[event]!);
      return;
    }
    const key = this.#sounding.release(strike, channel);
    if (key >= 0) this.#sender.message(byte, key, data2[event]!);
  }

  /** Everything else on a channel. */
  state(event: number): void {
    const { status, data1, data2 } = this.#columns;
    const byte = status[event]!;
    const channel = byte & 0x0f;
    this.remember(event);
    if ((byte & 0xf0) === 0xc0 && this.#board.programOverride[channel]! >= 0) return;
    const first = (byte & 0xf0) === 0xa0 ? transposedKey(data1[event]!, this.shift(channel)) : data1[event]!;
    this.#sender.message(byte, first, data2[event]!);
  }

  /**
   * Reads a part of a payload that is no whole SysEx (role `loose`) as its receiver would, and sends the messages in
   * it: so they are muted, seen and released like any others.
   * @param late its note-ons are left out
   */
  loose(event: number, from: number, length: number, late: boolean): void {
    const { status, payload, payloadBytes, payloadStart } = this.#columns;
    const start = payloadStart[payload[event]!]! + from;
    // What came between ended whatever these bytes might have gone on with.
    if (this.#readAt !== this.#sender.handed) this.#looseBytes.finish();
    this.#loose.late = late;
    if (status[event] === 0xf0 && from === 0) this.#looseBytes.feed(F0);
    this.#looseBytes.feed(payloadBytes, start, start + length);
    this.#readAt = this.#sender.handed;
  }

  /** Takes note of what the song says, without sending it. */
  remember(event: number): void {
    const { status, data1, data2, payload } = this.#columns;
    const byte = status[event]!;
    if (byte < 0xf0) this.song.fold(byte, data1[event]!, data2[event]!);
    else this.song.foldSysEx(payload[event]!);
  }
}

const F0 = Uint8Array.of(0xf0);
