// Length: one lane, one state: what waits, what the wire holds, and what a silence takes back are one matter.
import { ON_WIRE_LENGTH, OnWire } from '../../core/observe/fold-wire.ts';
import { AT_LENGTH, At } from '../../core/schedule/outlet.ts';
import { RunningStatus } from '../../core/wire/running-status.ts';
import { WireAt, WireModel } from '../../core/wire/wire-model.ts';
import type { WireTraits } from '../../core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL } from '../../ports/output-port.ts';
import { CommandDelay } from './command-delay.ts';
import { DROPPED, MessageQueue, wireLength } from './message-queue.ts';
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
  /** The last SysEx handed over has not ended yet. */
  #sysExOpen = false;

  readonly #witness: WireWitness;

  constructor(
    readonly port: OutputPort,
    witness: WireWitness,
    wire: WireTraits = port.wire,
  ) {
    this.#witness = witness;
    this.#model = new WireModel({ ...wire, runningStatus: 'device' });
    this.#running = new RunningStatus(wire.runningStatus);
    this.#afterSysExMicros = wire.afterSysExMicros ?? 0;
    const rests = this.#afterSysExMicros + (wire.afterProgramMicros ?? 0) + (wire.betweenBytesMicros ?? 0);
    this.#leadMicros = rests > 0 ? 0 : LEAD_MICROS;
  }

  message(status: number, data1: number, data2: number, at: Float64Array, now: Float64Array): void {
    if (this.lost) return;
    const word = (status << 16) | (data1 << 8) | data2;
    if (status < 0xf8) this.#sysExOpen = false; // any status but real-time ends it (MIDI 1.0, Table I)
    // Real-time bytes may stand between any two others (MIDI 1.0, p. A-1), so a backlog does not delay them.
    const mayGo = status >= 0xf8 ? this.#waitingSystem === 0 : this.#queue.rows === 0 && this.#hasRoom(now);
    if (mayGo) {
      this.#at[At.dueMicros] = at[At.dueMicros]!;
      this.#at[At.songMicros] = at[At.songMicros]!;
      this.#came[0] = now[0]!;
      if (this.#writeMessage(word, now)) return;
      if (this.lost) return;
    }
    this.#queue.add(word, wireLength(status), at, now);
    if (status >= 0xf0) this.#waitingSystem += 1;
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

  /** Hands the port what it and the wire can take now. */
  pump(now: Float64Array): void {
    const queue = this.#queue;
    while (queue.rows > 0 && !this.lost) {
      const word = queue.headWord();
      const length = queue.headLength();
      const system = length > 0 || word >>> 16 >= 0xf0;
      if (word !== DROPPED) {
        if (!this.#hasRoom(now)) return;
        queue.headTimes(this.#at, this.#came);
        if (length > 0) queue.headBytes(this.#bytes);
        if (!(length > 0 ? this.#writePiece(word, length, now) : this.#writeMessage(word, now))) return;
      }
      queue.removeHead(word === DROPPED ? 0 : length > 0 ? length : wireLength(word >>> 16));
      if (system) this.#waitingSystem -= 1;
    }
  }

  /** Lowers `into[0]` to the run time at which `pump` has something to do. */
  nextPump(into: Float64Array): void {
    if (this.#queue.rows === 0 || this.lost) return;
    this.#model.freeMicros(this.#free);
    const room = Math.max(this.#free[0]! - this.#leadMicros, this.#retry[0]!);
    if (room < into[0]!) into[0] = room;
  }

  /** Raises `into[0]` to the run time at which the wire will have sent everything handed over so far. */
  wireFree(into: Float64Array): void {
    if (this.lost) return;
    this.#model.freeMicros(this.#free);
    const waiting = this.#queue.waitingBytes * this.#model.microsPerByte;
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
    return this.lost || (this.#queue.rows === 0 && this.port.flush());
  }

  /** Takes back what was not struck yet (see `Outlet.withdraw`). */
  withdraw(channels: number, unstruck: Uint16Array): void {
    this.#queue.dropUnstruck(channels, unstruck);
  }

  /** Takes back everything but notes. A SysEx broken off so is ended by the next status byte. */
  dropOthers(): void {
    if (this.#queue.dropOthers()) this.#sysExOpen = false;
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

  #hasRoom(now: Float64Array): boolean {
    this.#model.freeMicros(this.#free);
    return this.#free[0]! - now[0]! <= this.#leadMicros && now[0]! >= this.#retry[0]!;
  }

  #writeMessage(word: number, now: Float64Array): boolean {
    const status = word >>> 16;
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
    return true;
  }

  #writePiece(word: number, length: number, now: Float64Array): boolean {
    this.#begin(now);
    if (!this.#offer(0, length, now)) return false;
    this.#running.forget(); // any SysEx or escape clears it
    this.#place(0xf7, length);
    if (this.#bytes[length - 1] === 0xf7) this.#rest();
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
    this.#waitingSystem = 0;
    this.#sysExOpen = false;
  }
}

/**
 * How much is handed to a port ahead of the wire. Enough to bridge a late wake-up without a hole on the wire,
 * little enough that a silence is heard at once: what the driver has cannot be taken back.
 */
export const LEAD_MICROS = 20_000;
/** A port that is full is asked again after about three bytes of the MIDI wire. */
const RETRY_MICROS = 1000;
/** SysEx goes in pieces of 10 ms of the MIDI wire, so that it never fills a driver and can be broken off. */
const PIECE_BYTES = 32;
/** Word of a piece that is not the first: no status, yet not DROPPED. */
const CONTINUED = 1;
/** A sender should not be silent for longer than 270 ms (MIDI 1.0, p. 32); the thread may wake late. */
const SENSE_MICROS = 240_000;
