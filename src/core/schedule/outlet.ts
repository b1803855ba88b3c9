/** Places in the register that goes with every message; all registers have AT_LENGTH places. */
export const At = {
  /** Run time (µs) at which the message is due: what lateness is measured against. */
  dueMicros: 0,
  /** Song time (µs) of the message; −1 for what is not in the song (chase, silence, clock). */
  songMicros: 1,
  /**
   * Run time (µs) at which the plan hands the message over: before `dueMicros` where it moved early, after it
   * where it made room. Its first byte can be on the wire from then on, and how late the thread handed it over
   * is measured against this. Equal to `dueMicros` for what is not in the song.
   */
  releaseMicros: 2,
} as const;

export const AT_LENGTH = 3;

/**
 * Where the scheduler puts messages, in the order they must leave. Everything behind it (running status, the
 * wire's queue, ports, the observed state) is the outlet's affair. Calls are synchronous, allocate nothing,
 * and never fail: what a port cannot take waits in the outlet.
 */
export interface Outlet {
  /** A channel, system common or real-time message of 1–3 bytes. Times come in a register (see `At`). */
  message(status: number, data1: number, data2: number, at: Float64Array): void;
  /**
   * SysEx: `status` F0 for F0, then the bytes; F7 for more of the SysEx that is open. Where none is open any more,
   * since something came between or the line was lost, such bytes are left out: alone they would be notes.
   */
  payload(status: number, bytes: Uint8Array, start: number, length: number, at: Float64Array): void;
  /**
   * A silence of these channels (bit n for channel n) comes next: takes back the note-ons that no port has taken
   * yet, and a note-off for each where one waits too. What was never struck need not be struck to be silenced.
   * @param unstruck [2048] by channel and key: raised by one for each note-on whose note-off is still to come
   */
  withdraw(channels: number, unstruck: Uint16Array): void;
  /** Takes back everything but notes that no port has taken yet: nobody needs it at the end of a run. */
  dropOthers(): void;
  /**
   * A channel message of somebody who plays along (`Visitor`): it goes before all that waits, but never into a SysEx.
   * Only outlets that they can play into have these two.
   */
  visit?(status: number, data1: number, data2: number, at: Float64Array): void;
  /** A whole SysEx of theirs, F0 to F7. */
  visitSysEx?(bytes: Uint8Array, length: number, at: Float64Array): void;
  /** A note-on that mute or solo held back. */
  heldBack(channel: number): void;
  /** Writes to `into[0]` the run time (µs) at which the wire will have sent all it was handed. */
  wireFree(into: Float64Array): void;
}
