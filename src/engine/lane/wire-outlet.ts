import { ALL_CHANNELS } from '../../core/instrument/orchestra.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { foldPortTrouble, PortSlot, PortTrouble } from '../../core/observe/port-state.ts';
import { AT_LENGTH, At, type Outlet } from '../../core/schedule/outlet.ts';
import { microsPerByte, type WireTraits } from '../../core/wire/wire-traits.ts';
import type { OutputPort } from '../../ports/output-port.ts';
import type { Clock } from '../clock/clock.ts';
import type { LatenessLog } from '../watch/lateness-log.ts';
import { WireLane } from './wire-lane.ts';
import { WireWitness } from './wire-witness.ts';

/** A port and the channels (0–15) it plays; all when left out. */
export interface LanePort {
  readonly port: OutputPort;
  /** The port's wire with the rests of the instrument behind it; the port's own where left out. */
  readonly wire?: WireTraits;
  readonly channels?: readonly number[] | undefined;
}

export interface OutletOptions {
  readonly clock: Clock;
  readonly observed: ObservedState;
  readonly lanes: readonly LanePort[];
  readonly activeSensing?: boolean;
  /** How often Active Sensing is sent at the most; without end on a real clock. */
  readonly mostSenses?: number;
  /** Somebody may play along (`Outlet.visit`). */
  readonly takesVisitor?: boolean;
  /** Counts how long what they play takes to the wire. */
  readonly visitLog?: LatenessLog | undefined;
  readonly latenessLog?: LatenessLog | undefined;
  /** Run time from which the log counts. */
  readonly latenessFromMicros?: number | undefined;
}

/**
 * Where the scheduler's messages go: each channel to its lane, system messages to all. The observed state is
 * folded by the lanes, from what the ports took.
 */
export class WireOutlet implements Outlet {
  readonly lanes: readonly WireLane[];
  readonly #channelLane = new Int8Array(16).fill(-1);
  readonly #clock: Clock;
  readonly #numbers: Float64Array;
  readonly #observed: ObservedState;
  /** How often Active Sensing may still be sent. */
  #sensesLeft: number;
  readonly #log: LatenessLog | undefined;
  readonly #logFrom: number;
  readonly #now = new Float64Array(1);
  readonly #late = new Float64Array(1);
  readonly #senseAt = new Float64Array(AT_LENGTH).fill(-1);

  constructor(options: OutletOptions) {
    const { ports } = options.observed;
    this.lanes = options.lanes.map(
      ({ port, wire }, index) =>
        new WireLane(
          port,
          new WireWitness(options.observed, ports[index]!, options.visitLog),
          wire ?? port.wire,
          options.takesVisitor,
        ),
    );
    for (const [index, { channels }] of options.lanes.entries()) {
      for (const channel of channels ?? ALL_CHANNELS) {
        if (this.#channelLane[channel] === -1) this.#channelLane[channel] = index;
      }
    }
    this.#clock = options.clock;
    this.#observed = options.observed;
    this.#numbers = options.observed.numbers;
    this.#sensesLeft = options.activeSensing ? (options.mostSenses ?? Number.POSITIVE_INFINITY) : 0;
    this.#log = options.latenessLog;
    this.#logFrom = options.latenessFromMicros ?? 0;
    const byteMicros = options.lanes.map(({ port, wire }) => microsPerByte(wire ?? port.wire));
    for (const [index, micros] of byteMicros.entries()) {
      ports[index]!.numbers[PortSlot.bytesPerSecond] = 1_000_000 / micros;
    }
    this.#numbers[Slot.portCount] = options.lanes.length;
    this.#numbers[Slot.microsPerByte] = Math.min(...byteMicros);
    this.#numbers[Slot.bytesPerSecond] = byteMicros.reduce((sum, micros) => sum + 1_000_000 / micros, 0);
  }

  message(status: number, data1: number, data2: number, at: Float64Array): void {
    this.#clock.read(this.#now);
    if (status < 0xf0) {
      const lane = this.#channelLane[status & 15]!;
      if (lane >= 0) this.lanes[lane]!.message(status, data1, data2, at, this.#now);
    } else {
      for (let i = 0; i < this.lanes.length; i += 1) {
        this.lanes[i]!.message(status, data1, data2, at, this.#now);
      }
    }
    this.#noteLateness(at);
    this.#noteWire();
  }

  payload(status: number, bytes: Uint8Array, start: number, length: number, at: Float64Array): void {
    this.#clock.read(this.#now);
    for (let i = 0; i < this.lanes.length; i += 1) {
      this.lanes[i]!.payload(status, bytes, start, length, at, this.#now);
    }
    this.#noteWire();
  }

  visit(status: number, data1: number, data2: number, at: Float64Array): void {
    this.#clock.read(this.#now);
    const lane = this.#channelLane[status & 15]!;
    if (lane >= 0) this.lanes[lane]!.visit(status, data1, data2, at, this.#now);
    this.#noteWire();
  }

  visitSysEx(bytes: Uint8Array, length: number, at: Float64Array): void {
    this.#clock.read(this.#now);
    for (let i = 0; i < this.lanes.length; i += 1) this.lanes[i]!.visitSysEx(bytes, length, at, this.#now);
    this.#noteWire();
  }

  heldBack(channel: number): void {
    this.#observed.heldBack[channel]! += 1;
  }

  wireFree(into: Float64Array): void {
    into[0] = 0;
    for (let i = 0; i < this.lanes.length; i += 1) this.lanes[i]!.wireFree(into);
  }

  /** Hands on what waited, and keeps Active Sensing alive. */
  pump(): void {
    this.#clock.read(this.#now);
    let worst: number = PortTrouble.none;
    for (let i = 0; i < this.lanes.length; i += 1) {
      const lane = this.lanes[i]!;
      lane.pump(this.#now);
      if (this.#sensesLeft > 0 && lane.sense(this.#senseAt, this.#now)) this.#sensesLeft -= 1;
      const trouble = lane.lost ? PortTrouble.lost : lane.heldUp ? PortTrouble.heldUp : PortTrouble.none;
      foldPortTrouble(this.#observed.ports[i]!, trouble, this.#now);
      if (trouble > worst) worst = trouble;
    }
    this.#numbers[Slot.portTrouble] = worst;
    this.#noteWire();
  }

  /** Lowers `into[0]` to the run time at which `pump` should be called again. */
  nextPump(into: Float64Array): void {
    for (let i = 0; i < this.lanes.length; i += 1) {
      this.lanes[i]!.nextPump(into);
      if (this.#sensesLeft > 0) this.lanes[i]!.nextSense(into);
    }
  }

  /** Sees which ports are gone, also where nothing is sent. */
  notice(): void {
    for (let i = 0; i < this.lanes.length; i += 1) this.lanes[i]!.notice();
  }

  /** Bits of the channels whose port is gone. */
  lostChannels(): number {
    let channels = 0;
    for (const channel of ALL_CHANNELS) {
      if (this.lanes[this.#channelLane[channel]!]?.lost === true) channels |= 1 << channel;
    }
    return channels;
  }

  /** Asks lost ports whether they are back; bits of the channels whose port is. */
  revive(): number {
    let channels = 0;
    for (let i = 0; i < this.lanes.length; i += 1) {
      if (!this.lanes[i]!.revive()) continue;
      for (const channel of ALL_CHANNELS) if (this.#channelLane[channel] === i) channels |= 1 << channel;
    }
    return channels;
  }

  withdraw(channels: number, unstruck: Uint16Array): void {
    for (let i = 0; i < this.lanes.length; i += 1) this.lanes[i]!.withdraw(channels, unstruck);
    this.#noteWire();
  }

  dropOthers(): void {
    for (const lane of this.lanes) lane.dropOthers();
  }

  /** Writes out what ports hold back. */
  flush(): void {
    for (let i = 0; i < this.lanes.length; i += 1) this.lanes[i]!.port.flush();
  }

  close(): void {
    for (const { port } of this.lanes) port.close();
  }

  /** True when every port has everything and has passed it on. */
  drained(): boolean {
    let all = true;
    for (const lane of this.lanes) all = lane.drained() && all;
    return all;
  }

  /** The run ends now, whatever a port still has not taken: that one is at least held up. */
  noteUnsent(): void {
    this.#clock.read(this.#now);
    for (const [index, lane] of this.lanes.entries()) {
      if (lane.drained()) continue;
      foldPortTrouble(this.#observed.ports[index]!, PortTrouble.heldUp, this.#now);
      if (this.#numbers[Slot.portTrouble] === PortTrouble.none)
        this.#numbers[Slot.portTrouble] = PortTrouble.heldUp;
    }
  }

  /** How late this thread is against the plan's own moment of handing over. */
  #noteLateness(at: Float64Array): void {
    this.#clock.read(this.#late);
    const late = this.#late[0]! - at[At.releaseMicros]!;
    this.#late[0] = late;
    this.#numbers[Slot.handoverLatenessMicros] = late;
    if (late > this.#numbers[Slot.worstHandoverLatenessMicros]!) {
      this.#numbers[Slot.worstHandoverLatenessMicros] = late;
    }
    if (this.#log !== undefined && at[At.releaseMicros]! >= this.#logFrom) this.#log.add(this.#late);
  }

  /** When each wire will have sent what it was handed, what still waits included. */
  #noteWire(): void {
    let last = 0;
    for (let i = 0; i < this.lanes.length; i += 1) {
      this.#late[0] = 0;
      this.lanes[i]!.wireFree(this.#late);
      this.#observed.ports[i]!.numbers[PortSlot.wireFreeMicros] = this.#late[0]!;
      if (this.#late[0]! > last) last = this.#late[0]!;
    }
    this.#numbers[Slot.wireFreeMicros] = last;
  }
}
