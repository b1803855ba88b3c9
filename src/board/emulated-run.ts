import type { PlayerBit } from '../core/export/player/player-machine.ts';

/** What an emulated machine did with an image. */
export interface EmulatedRun {
  readonly bytes: Uint8Array;
  /** Cycle at which each byte was written. */
  readonly cycles: Float64Array;
  /** Writes outside the stack and the player's own code. */
  readonly strayWrites: number;
  /** Reads outside what was loaded and the stack. */
  readonly strayReads: number;
  /** The player came back to its caller. */
  readonly returned: boolean;
}

export interface EmulatedMachine {
  readonly clockHz: number;
  readonly to: number;
  readonly stackBytes: number;
  readonly out: number;
  readonly ready?: PlayerBit;
  readonly stop?: PlayerBit;
  /** From this cycle on the key is held; never, where it is absent. */
  readonly stopAtCycle?: number;
  /** First byte in page 0 that a 6502 player may use. */
  readonly zeroPage?: number;
  /** The run ends behind so many bytes (a song may repeat), or after so many cycles (it may have lost its way). */
  readonly mostBytes: number;
  readonly mostCycles: number;
}

/** A byte is on its way for so long (ten bits at 31,250 baud, MIDI 1.0, p. 1): the converter is not ready. */
const BUSY_MICROS = 320;

/** The two devices that an image talks to: a converter that takes bytes, and a key. */
export class EmulatedDevices {
  readonly bytes: number[] = [];
  readonly cycles: number[] = [];
  readonly #machine: EmulatedMachine;
  readonly #busyCycles: number;

  constructor(machine: EmulatedMachine) {
    this.#machine = machine;
    this.#busyCycles = (BUSY_MICROS * machine.clockHz) / 1_000_000;
  }

  take(byte: number, cycle: number): void {
    this.bytes.push(byte);
    this.cycles.push(cycle);
  }

  /** Undefined where no device answers there. */
  read(at: number, cycle: number): number | undefined {
    const { ready, stop, stopAtCycle = Number.POSITIVE_INFINITY } = this.#machine;
    if (at !== ready?.at && at !== stop?.at) return undefined;
    const isReady = this.cycles.length === 0 || cycle - this.cycles.at(-1)! >= this.#busyCycles;
    const answers = [
      [ready, isReady],
      [stop, cycle >= stopAtCycle],
    ] as const;
    let value = 0;
    for (const [bit, isYes] of answers) {
      if (bit?.at === at && isYes !== bit.isLow) value |= bit.mask;
    }
    return value;
  }

  /** Whether the run has said enough. */
  isOver(cycle: number): boolean {
    return this.bytes.length >= this.#machine.mostBytes || cycle > this.#machine.mostCycles;
  }
}
