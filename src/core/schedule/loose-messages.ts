import { isNoteOff, isNoteOn } from '../midi/status.ts';
import { type StreamSink, SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../midi/stream-parser.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import type { ReceiverMemory } from './receiver-memory.ts';
import type { Sender } from './sender.ts';
import type { Sounding } from './sounding.ts';

const SYSTEM_RESET = 0xff;

/** Of the song's rows: which channels one hears, and what the song has said. */
interface SongRows {
  readonly audible: number;
  readonly song: ReceiverMemory;
}

/**
 * Sends the messages that were read out of allowed escapes and of SysEx with status bytes inside. They are not the
 * song's notes, so they are not transposed and not paired; but they count as sounding, and stay away while muted.
 * Bytes that no receiver makes sense of are left out.
 */
export class LooseMessages implements StreamSink {
  /** Too late for a note-on. */
  late = false;

  readonly #rows: SongRows;
  readonly #sender: Sender;
  readonly #sounding: Sounding;

  constructor(rows: SongRows, sender: Sender, sounding: Sounding) {
    this.#rows = rows;
    this.#sender = sender;
    this.#sounding = sounding;
  }

  message(status: number, data1: number, data2: number): void {
    const sender = this.#sender;
    const sounding = this.#sounding;
    const channel = status & 15;
    if (isNoteOn(status, data2)) {
      if (this.late) return;
      if ((this.#rows.audible & (1 << channel)) === 0) {
        sender.outlet.heldBack(channel);
        return;
      }
      sounding.strikeKey(channel, data1);
    } else if (isNoteOff(status, data2)) {
      if (sounding.strikes[channel * 128 + data1] === 0) return;
      sounding.releaseKey(channel, data1);
    } else if (status < 0xf0) this.#rows.song.fold(status, data1, data2);
    sender.message(status, data1, data2);
    if (status === SYSTEM_RESET) this.#forget();
  }

  sysEx(bytes: Uint8Array, length: number, part: number): void {
    const sender = this.#sender;
    if ((part & SYSEX_CUT) !== 0) sender.breakOff();
    else if ((part & SYSEX_FIRST) !== 0) sender.bytes(0xf0, bytes, 1, length - 1);
    else if (sender.sysExOpen) sender.bytes(0xf7, bytes, 0, length);
    if (part === (SYSEX_FIRST | SYSEX_LAST) && classifySysEx(bytes, 0, length).reset) this.#forget();
  }

  fault(): void {
    // Not a message: nothing to send.
  }

  /** The receiver is at rest again, as after its power came back. */
  #forget(): void {
    this.#rows.song.forget();
    this.#sender.memory.forget();
  }
}
