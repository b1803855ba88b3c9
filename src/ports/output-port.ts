import type { WireTraits } from '../core/wire/wire-traits.ts';

/** How a write went. `full`: try again later, nothing was taken. `lost`: the port is gone. */
export const WRITE_DONE = 0;
export const WRITE_FULL = 1;
export const WRITE_LOST = 2;
export type WriteOutcome = typeof WRITE_DONE | typeof WRITE_FULL | typeof WRITE_LOST;

/**
 * Somewhere MIDI bytes can go. A port is used by one thread, never blocks, and allocates nothing in `write`.
 * The contract suite `test/ports/output-contract.ts` holds every port to this.
 */
export interface OutputPort {
  /** As the user would name it on the command line. */
  readonly name: string;
  readonly wire: WireTraits;
  /**
   * Takes one whole message (or one piece of a long SysEx): `bytes[start] … bytes[start+length-1]`.
   * @param at `at[0]` is the run time (µs) at which the first byte is meant to be on the wire; a register
   *   rather than a number, because a fractional number passed by value is garbage in the sending loop
   */
  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome;
  /** Pushes out what is still held back (a partial write, a file buffer). True once nothing is. */
  flush(): boolean;
  /**
   * Only ports that can be lost have it. After `write` said WRITE_LOST, asked from time to time (a quarter of
   * a second is plenty): true once the port is open again. What was held back is forgotten, and the far end
   * may have forgotten everything, so the caller begins with silence and a chase. Never blocks.
   */
  revive?(): boolean;
  /**
   * Only ports that can be lost without a write have it, those whose device somebody watches: true where the device
   * is gone, or was gone and is another now. From then on the port is as after WRITE_LOST. Never blocks.
   */
  gone?(): boolean;
  /** Frees the port. May be called twice. Never throws. */
  close(): void;
}
