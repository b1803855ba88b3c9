import type { TimelineColumns } from '../timeline/timeline.ts';
import { AT_LENGTH, At, type Outlet } from './outlet.ts';
import { ReceiverMemory } from './receiver-memory.ts';
import { Time } from './scheduler-times.ts';
import type { SysExCatalogue } from './sysex-catalogue.ts';
import type { Visitor } from './visitor.ts';

/** Takes messages for the receiver; `memory` is what it then holds. */
export interface ChaseSink {
  readonly memory: ReceiverMemory;
  message(status: number, data1: number, data2: number): void;
}

/** Bytes of one piece of a long SysEx: 20 ms of a MIDI 1.0 wire. */
export const PIECE_BYTES = 64;

const F7 = Uint8Array.of(0xf7);

/** The one way to the outlet: it remembers what was sent, and on which channels. */
export class Sender implements ChaseSink {
  readonly outlet: Outlet;
  /** Register that goes with the next message; `stampNow` fills it for what is not in the song. */
  readonly at = new Float64Array(AT_LENGTH);
  readonly memory: ReceiverMemory;
  /** Who plays along, where somebody may. */
  visitor: Visitor | undefined;
  /** Bits of the channels that were sent anything. */
  used = 0;
  /** A SysEx was begun, and neither its F7 nor another message has ended it. */
  sysExOpen = false;
  /** Counts what may not stand inside another message: all but real-time bytes. */
  handed = 0;
  /** [2048] strikes that a silence has just taken back (see `Outlet.withdraw`). */
  readonly unstruck = new Uint16Array(2048);
  readonly #columns: TimelineColumns;
  readonly #times: Float64Array;
  readonly #free: Float64Array;

  constructor(outlet: Outlet, columns: TimelineColumns, catalogue: SysExCatalogue, times: Float64Array) {
    this.outlet = outlet;
    this.memory = new ReceiverMemory(catalogue);
    this.#columns = columns;
    this.#times = times;
    this.#free = times.subarray(Time.wireFree, Time.wireFree + 1);
  }

  stampNow(): void {
    const { at } = this;
    at[At.dueMicros] = this.#times[Time.now]!;
    at[At.songMicros] = -1;
    at[At.releaseMicros] = this.#times[Time.now]!;
  }

  message(status: number, data1: number, data2: number): void {
    this.outlet.message(status, data1, data2, this.at);
    if (status >= 0xf8) return;
    this.sysExOpen = false;
    this.handed += 1;
    if (status >= 0xf0) return;
    this.used |= 1 << (status & 0x0f);
    this.memory.fold(status, data1, data2);
  }

  /** A channel message of whoever plays along. It never stands inside another, so what was begun goes on. */
  visit(status: number, data1: number, data2: number, at: Float64Array): void {
    this.outlet.visit?.(status, data1, data2, at);
    this.used |= 1 << (status & 0x0f);
    this.memory.fold(status, data1, data2);
  }

  /** Sends a whole payload row. */
  sysEx(status: number, payload: number): void {
    this.piece(status, payload, 0, this.#columns.payloadLength[payload]!);
    this.memory.foldSysEx(payload);
  }

  /** Brings a class of SysEx back to rest (see `SysExCatalogue.rest`). */
  restSysEx(kind: number): void {
    const bytes = this.memory.sysEx.catalogue.rest[kind];
    if (bytes === undefined) return;
    this.bytes(0xf0, bytes, 0, bytes.length);
    this.memory.sysEx.clear(kind);
  }

  /** Sends a part of a payload row: the first piece under its own status, the others as they are. */
  piece(status: number, payload: number, from: number, length: number): void {
    const { payloadBytes, payloadStart } = this.#columns;
    this.bytes(from === 0 ? status : 0xf7, payloadBytes, payloadStart[payload]! + from, length);
  }

  /** Sends `bytes[start] … bytes[start+length-1]` as SysEx: `status` F0 begins one, F7 goes on with it. */
  bytes(status: number, bytes: Uint8Array, start: number, length: number): void {
    this.outlet.payload(status, bytes, start, length, this.at);
    this.sysExOpen = length === 0 || bytes[start + length - 1] !== 0xf7;
    this.handed += 1;
  }

  /** Ends a SysEx that will not be finished (MIDI 1.0, Table I: F7 ends it). */
  breakOff(): void {
    if (this.sysExOpen) this.bytes(0xf7, F7, 0, 1);
  }

  /** Writes the run time at which the wire will be free, and `extraMicros` beyond, into a place of `times`. */
  wireFree(place: number, extraMicros: number): void {
    const times = this.#times;
    this.outlet.wireFree(this.#free);
    times[place] = Math.max(times[Time.now]!, times[Time.wireFree]!) + extraMicros;
  }
}
