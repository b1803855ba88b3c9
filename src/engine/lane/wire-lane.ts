// Length: one lane, one state: what waits, whose turn it is, what the wire holds, and what a silence takes back.
import { endsNotes } from '../../core/midi/controllers.ts';
import { ON_WIRE_LENGTH, OnWire } from '../../core/observe/fold-wire.ts';
import { AT_LENGTH, At } from '../../core/schedule/outlet.ts';
import { RunningStatus } from '../../core/wire/running-status.ts';
import { WireAt, WireModel } from '../../core/wire/wire-model.ts';
import type { WireTraits } from '../../core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL } from '../../ports/output-port.ts';
import { CommandDelay } from './command-delay.ts';
import { DROPPED, MessageQueue, wireLength } from './message-queue.ts';
import { SharedKeys } from './shared-keys.ts';
import type { WireWitness } from './wire-witness.ts';

/**
 * One output and the wire behind it. Messages go to the port at once while the wire has less than LEAD_MICROS
 * of bytes before it; the rest wait here, in order, where a silence can still take them back. Nothing here
 * blocks, and nothing is allocated for a message that fits. `now` is a register: run time in `now[0]`.
 */
export class WireLane {
  /** True once the port said it is gone; messages are then left out until `revive`. */
  lost = false;
  /** True while the port last said `full`. */
  heldUp = false;
  /** Only keeps the times: which bytes go out is decided by `#running`. */
  readonly #model: WireModel;
  readonly #running: RunningStatus;
  readonly #afterSysExMicros: number;
  /** How far ahead of the wire the port gets its bytes: not at all where the instrument needs rests. */
  readonly #leadMicros: number;
  /**
   * The moment a message is due, in whole microseconds: what the repeating of a status byte is judged by. The
   * real moment differs from run to run, and would make other bytes of the same song.
   */
  readonly #due = new Float64Array(1);
  readonly #queue = new MessageQueue();
  /** What whoever plays along has sent and the wire could not take yet: it goes before the queue. */
  readonly #ahead: MessageQueue | undefined;
  /** Note-offs that were kept for a key and are due: before all else. */
  readonly #owed: MessageQueue | undefined;
  readonly #keys: SharedKeys | undefined;
  /** Whose SysEx is open on the wire, as far as bytes were written: one of `Open`. */
  #openOnWire: number = Open.none;
  readonly #bytes = new Uint8Array(PIECE_BYTES);
  /** Moments of the message being written, as `At` lays them out. */
  readonly #at = new Float64Array(AT_LENGTH);
  /** When it was handed over. */
  readonly #came = new Float64Array(1);
  readonly #commandDelay = new CommandDelay();
  /** Ready, start and end on the wire (`WireAt`), and from its start on as the witness reads it (`OnWire`). */
  readonly #wire = new Float64Array(WireAt.start + ON_WIRE_LENGTH);
  readonly #span = this.#wire.subarray(WireAt.start);
  readonly #free = new Float64Array(1);
  /** When a port that was full is asked again. */
  readonly #retry = new Float64Array(1);
  /** When the last byte written has ended: what Active Sensing counts from. */
  readonly #lastEnd = new Float64Array(1);
  /** System messages in the queue; real-time bytes may not overtake these (Start after Song Position, say). */
  #waitingSystem = 0;
  /**
   * Rows of the queue up to the last that ends all notes of a channel, and rows ahead that came before it: what is struck
   * behind it does not go before it, or it would be ended and nobody know.
   */
  #endingRows = 0;
  #aheadOfEnding = 0;
  /** The last SysEx handed over has not ended yet. */
  #sysExOpen = false;

  readonly #witness: WireWitness;

  constructor(
    readonly port: OutputPort,
    witness: WireWitness,
    wire: WireTraits = port.wire,
    takesVisitor = false,
  ) {
    this.#witness = witness;
    this.#ahead = takesVisitor ? new MessageQueue() : undefined;
    this.#owed = takesVisitor ? new MessageQueue() : undefined;
    this.#keys = takesVisitor ? new SharedKeys() : undefined;
    this.#model = new WireModel({ ...wire, runningStatus: 'device' });
    this.#running = new RunningStatus(wire.runningStatus);
    this.#afterSysExMicros = wire.afterSysExMicros ?? 0;
    const rests = this.#afterSysExMicros + (wire.afterProgramMicros ?? 0) + (wire.betweenBytesMicros ?? 0);
    this.#leadMicros = rests > 0 ? 0 : takesVisitor ? VISITOR_LEAD_MICROS : LEAD_MICROS;
  }

  message(status: number, data1: number, data2: number, at: Float64Array, now: Float64Array): void {
    if (this.lost) return;
    const word = (status << 16) | (data1 << 8) | data2;
    if (status < 0xf8) this.#sysExOpen = false; // any status but real-time ends it (MIDI 1.0, Table I)
    // Real-time bytes may stand between any two others (MIDI 1.0, p. A-1), so a backlog does not delay them.
    const mayGo = status >= 0xf8 ? this.#waitingSystem === 0 : this.#isFree() && this.#hasRoom(now);
    if (mayGo) {
      this.#at[At.dueMicros] = at[At.dueMicros]!;
      this.#at[At.songMicros] = at[At.songMicros]!;
      this.#came[0] = now[0]!;
      if (this.#writeMessage(word, now, false)) return;
      if (this.lost) return;
    }
    this.#queue.add(word, wireLength(status), at, now);
    if (status >= 0xf0) this.#waitingSystem += 1;
    if ((status & 0xf0) === 0xb0 && endsNotes(data1)) {
      this.#endingRows = this.#queue.rows;
      this.#aheadOfEnding = this.#ahead?.rows ?? 0;
    }
  }

  payload(
    status: number,
    bytes: Uint8Array,
    start: number,
    length: number,
    at: Float64Array,
    now: Float64Array,
  ): void {
    if (this.lost) return;
    const goesOn = status === 0xf7;
    if (goesOn && !this.#sysExOpen) return;
    this.#sysExOpen = bytes[start + length - 1] !== 0xf7;
    let word = goesOn ? CONTINUED : status << 16;
    let used = 0;
    if (status === 0xf0) {
      this.#bytes[0] = 0xf0; // the payload lacks it (SMF 1.1, 2.3)
      used = 1;
    }
    for (let i = 0; i < length; i += 1) {
      this.#bytes[used] = bytes[start + i]!;
      used += 1;
      if (used < PIECE_BYTES && i < length - 1) continue;
      this.#queue.addBytes(word, this.#bytes, 0, used, at, now);
      this.#waitingSystem += 1;
      word = CONTINUED;
      used = 0;
    }
    this.pump(now);
  }

  /** A channel message of whoever plays along (see `Outlet.visit`). */
  visit(status: number, data1: number, data2: number, at: Float64Array, now: Float64Array): void {
    if (this.lost || this.#ahead === undefined) return;
    this.#ahead.add((status << 16) | (data1 << 8) | data2, wireLength(status), at, now);
    this.pump(now);
  }

  /** A whole SysEx of theirs. */
  visitSysEx(bytes: Uint8Array, length: number, at: Float64Array, now: Float64Array): void {
    if (this.lost || this.#ahead === undefined) return;
    for (let from = 0; from < length; from += PIECE_BYTES) {
      const word = from === 0 ? 0xf0 << 16 : CONTINUED;
      this.#ahead.addBytes(word, bytes, from, Math.min(PIECE_BYTES, length - from), at, now);
    }
    this.pump(now);
  }

  /** Hands the port what it and the wire can take now. */
  pump(now: Float64Array): void {
    while (!this.lost) {
      const queue = this.#whoseTurn(now);
      if (queue === undefined || queue.rows === 0) return;
      const isVisitor = queue !== this.#queue;
      const word = queue.headWord();
      const length = queue.headLength();
      if (word === DROPPED) this.#remove(queue, 0);
      else {
        if (!this.#hasRoom(now)) return;
        queue.headTimes(this.#at, this.#came);
        if (length > 0) queue.headBytes(this.#bytes);
        const isOut =
          length > 0
            ? this.#writePiece(word, length, now, isVisitor)
            : this.#writeMessage(word, now, isVisitor);
        if (!isOut) return;
        this.#remove(queue, length > 0 ? length : wireLength(word >>> 16));
        const isSystem = length > 0 || word >>> 16 >= 0xf0;
        if (isSystem && !isVisitor) this.#waitingSystem -= 1;
      }
    }
  }

  /** Lowers `into[0]` to the run time at which `pump` has something to do. */
  nextPump(into: Float64Array): void {
    if (this.#isFree() || this.lost) return;
    this.#model.freeMicros(this.#free);
    let room = Math.max(this.#free[0]! - this.#leadMicros, this.#retry[0]!);
    if (this.#queue.rows === 0 && this.#openOnWire === Open.songs)
      room = Math.max(room, this.#lastEnd[0]! + SYSEX_PATIENCE_MICROS);
    if (room < into[0]!) into[0] = room;
  }

  /** Raises `into[0]` to the run time at which the wire will have sent everything handed over so far. */
  wireFree(into: Float64Array): void {
    if (this.lost) return;
    this.#model.freeMicros(this.#free);
    const ahead = (this.#ahead?.waitingBytes ?? 0) + (this.#owed?.waitingBytes ?? 0);
    const waiting = (this.#queue.waitingBytes + ahead) * this.#model.microsPerByte;
    const from = Math.max(this.#free[0]!, waiting > 0 ? this.#retry[0]! : 0);
    if (from + waiting > into[0]!) into[0] = from + waiting;
  }

  /** Sends FE when nothing was sent for so long that a receiver would soon think us dead. */
  sense(at: Float64Array, now: Float64Array): boolean {
    if (now[0]! - this.#lastEnd[0]! < SENSE_MICROS) return false;
    this.message(0xfe, 0, 0, at, now);
    return true;
  }

  nextSense(into: Float64Array): void {
    const next = this.#lastEnd[0]! + SENSE_MICROS;
    if (!this.lost && next < into[0]!) into[0] = next;
  }

  /** True when nothing waits, neither here nor in the port. */
  drained(): boolean {
    return this.lost || (this.#isFree() && this.port.flush());
  }

  /** Takes back what was not struck yet (see `Outlet.withdraw`). */
  withdraw(channels: number, unstruck: Uint16Array): void {
    this.#queue.dropUnstruck(channels, unstruck);
  }

  /** Takes back everything but notes. A SysEx broken off so is ended by the next status byte. */
  dropOthers(): void {
    if (this.#queue.dropOthers()) this.#sysExOpen = false;
    this.#waitingSystem = 0;
  }

  /** Sees whether the port is gone, which one that nothing is sent to does not tell. */
  notice(): void {
    if (!this.lost && this.port.gone?.() === true) this.#lose();
  }

  /** Asks a lost port whether it is back. The receiver may have forgotten everything: the caller begins anew. */
  revive(): boolean {
    if (!this.lost || this.port.revive?.() !== true) return false;
    this.lost = false;
    this.heldUp = false;
    this.#running.forget();
    return true;
  }

  #remove(queue: MessageQueue, wireBytes: number): void {
    queue.removeHead(wireBytes);
    if (queue === this.#ahead) this.#aheadOfEnding = Math.max(0, this.#aheadOfEnding - 1);
    else if (queue === this.#queue) this.#endingRows = Math.max(0, this.#endingRows - 1);
  }

  #hasRoom(now: Float64Array): boolean {
    this.#model.freeMicros(this.#free);
    return this.#free[0]! - now[0]! <= this.#leadMicros && now[0]! >= this.#retry[0]!;
  }

  /** Nothing waits. */
  #isFree(): boolean {
    return this.#queue.rows === 0 && (this.#ahead?.rows ?? 0) + (this.#owed?.rows ?? 0) === 0;
  }

  /**
   * Whoever plays along goes first, but not into a SysEx of the song; one of which nothing more has come for long is
   * given up.
   */
  #whoseTurn(now: Float64Array): MessageQueue | undefined {
    const ahead = this.#owed?.rows === 0 ? this.#ahead : this.#owed;
    if (ahead === undefined || ahead.rows === 0) return this.#queue;
    if (ahead === this.#ahead && this.#endingRows > 0 && this.#aheadOfEnding === 0) return this.#queue;
    if (this.#openOnWire !== Open.songs) return ahead;
    if (this.#queue.rows > 0) return this.#queue;
    if (now[0]! < this.#lastEnd[0]! + SYSEX_PATIENCE_MICROS) return undefined;
    this.#sysExOpen = false; // what may still come of it would be data for another status
    return ahead;
  }

  /** @returns false when the port did not take it */
  #writeMessage(word: number, now: Float64Array, isVisitor: boolean): boolean {
    const status = word >>> 16;
    const [key, velocity] = [(word >>> 8) & 0xff, word & 0xff];
    if (this.#keys?.keeps(status, key, velocity, isVisitor, this.#at[At.songMicros]! >= 0) === true)
      return true;
    const length = wireLength(status);
    this.#begin(now);
    this.#due[0] = Math.round(this.#at[At.dueMicros]!);
    const cost = this.#running.cost(status, length, this.#due, 0);
    this.#bytes[0] = status;
    this.#bytes[1] = (word >>> 8) & 0xff;
    this.#bytes[2] = word & 0xff;
    if (!this.#offer(length - cost, cost, now)) return false;
    this.#running.send(status, length, this.#due, 0);
    this.#place(status, cost);
    this.#witness.sawMessage(status, (word >>> 8) & 0xff, word & 0xff, cost, this.#at, this.#span);
    if (status < 0xf8) this.#openOnWire = Open.none;
    if (this.#keys !== undefined) this.#payOwed(status, word, isVisitor, now);
    return true;
  }

  /** Somebody let go of a key for good: the note-offs that were kept for it follow. */
  #payOwed(status: number, word: number, isVisitor: boolean, now: Float64Array): void {
    if (isVisitor) this.#witness.sawVisit(this.#at, this.#span);
    const owed = this.#keys!.wrote(status, (word >>> 8) & 0xff, word & 0xff, isVisitor);
    const off = ((0x80 | (status & 15)) << 16) | (word & 0x7f00) | RELEASE_VELOCITY;
    for (let i = 0; i < owed; i += 1) this.#owed!.add(off, 3, this.#at, now);
  }

  #writePiece(word: number, length: number, now: Float64Array, isVisitor: boolean): boolean {
    this.#begin(now);
    if (!this.#offer(0, length, now)) return false;
    this.#running.forget(); // any SysEx or escape clears it
    this.#place(0xf7, length);
    const isEnded = this.#bytes[length - 1] === 0xf7;
    this.#openOnWire = isEnded ? Open.none : isVisitor ? Open.visitors : Open.songs;
    if (isEnded) this.#rest();
    this.#witness.sawPayload(word >>> 16, this.#bytes, length, this.#at, this.#span);
    return true;
  }

  /** The instrument wants to think about a SysEx. */
  #rest(): void {
    if (this.#afterSysExMicros === 0) return;
    this.#free[0] = this.#wire[WireAt.end]! + this.#afterSysExMicros;
    this.#model.hold(this.#free);
  }

  /** Sets when the next byte can be on the wire. */
  #begin(now: Float64Array): void {
    this.#model.freeMicros(this.#free);
    this.#wire[WireAt.ready] = now[0]!;
    this.#wire[WireAt.start] = Math.max(now[0]!, this.#free[0]!);
    this.#commandDelay.next(this.#came, this.#free);
    this.#span[OnWire.commandDelayMicros] = this.#commandDelay.micros[0]!;
  }

  /** The port took it: these bytes are on the wire next. */
  #place(status: number, length: number): void {
    this.#model.place(status, length, this.#wire);
    this.#lastEnd[0] = this.#wire[WireAt.end]!;
    // Clock and Active Sensing were asked for with the song, and are part of what the wire has to carry.
    if (this.#at[At.songMicros]! >= 0 || status >= 0xf8) return;
    this.#model.freeMicros(this.#free);
    this.#commandDelay.add(this.#span, this.#free);
  }

  #offer(start: number, length: number, now: Float64Array): boolean {
    const outcome = this.port.write(this.#bytes, start, length, this.#span);
    this.heldUp = outcome === WRITE_FULL;
    if (outcome === WRITE_DONE) return true;
    if (outcome === WRITE_FULL) this.#retry[0] = now[0]! + RETRY_MICROS;
    else this.#lose();
    return false;
  }

  #lose(): void {
    this.lost = true;
    this.#queue.clear();
    this.#ahead?.clear();
    this.#owed?.clear();
    this.#keys?.clear();
    this.#openOnWire = Open.none;
    this.#waitingSystem = 0;
    this.#endingRows = 0;
    this.#aheadOfEnding = 0;
    this.#sysExOpen = false;
  }
}

/**
 * How much is handed to a port ahead of the wire. Enough to bridge a late wake-up without a hole on the wire,
 * little enough that a silence is heard at once: what the driver has cannot be taken back.
 */
export const LEAD_MICROS = 20_000;
/**
 * The same where somebody plays along: a note of theirs waits for the message that is on the wire and for this. What it
 * costs is a wake-up for each message of a full wire.
 */
export const VISITOR_LEAD_MICROS = 640;
/** A SysEx whose next piece has not come for so long is given up for whoever plays along. */
const SYSEX_PATIENCE_MICROS = 1_000_000;
/** Where none is known (MIDI 1.0, Table I). */
const RELEASE_VELOCITY = 64;
/** Whose SysEx is open. */
const Open = { none: 0, songs: 1, visitors: 2 } as const;
/** A port that is full is asked again after about three bytes of the MIDI wire. */
const RETRY_MICROS = 1000;
/** SysEx goes in pieces of 10 ms of the MIDI wire, so that it never fills a driver and can be broken off. */
const PIECE_BYTES = 32;
/** Word of a piece that is not the first: no status, yet not DROPPED. */
const CONTINUED = 1;
/** A sender should not be silent for longer than 270 ms (MIDI 1.0, p. 32); the thread may wake late. */
const SENSE_MICROS = 240_000;
