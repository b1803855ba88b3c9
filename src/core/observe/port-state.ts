/** What was seen of one output: its wire, its troubles. The tables lie in the buffer of the observed state. */
export interface PortState {
  /** f64 single values, indexed by `PortSlot`. */
  readonly numbers: Float64Array;
  /** [LOAD_SLOTS] ring of this wire's bytes, laid out as `ObservedState.loadBytes`. */
  readonly loadBytes: Uint32Array;
}

/** There are sixteen channels to share out; an output without one would get system messages only. */
export const MOST_PORTS = 16;

/** Places in `PortState.numbers`. */
export const PortSlot = {
  /** Bytes a second its wire carries. */
  bytesPerSecond: 0,
  /** What it took: counts since the start. */
  messages: 1,
  noteOns: 2,
  bytes: 3,
  /** Run time (µs) at which its wire will have sent all that it was handed. */
  wireFreeMicros: 4,
  /** Highest bytes in any 100 ms window (of whole load slots), as a share of what its wire can carry. */
  peakLoad: 5,
  /** Latest slot of its `loadBytes` written, counted without wrapping. */
  loadSlot: 6,
  /** The worst onset on its wire (see `foldOnsetLateness`), and the song time of it. */
  worstOnsetLatenessMicros: 7,
  worstOnsetSongMicros: 8,
  /** One of `PortTrouble`, and the run time (µs) since which it is so. */
  trouble: 9,
  troubleSinceMicros: 10,
  /** Times it went away. */
  losses: 11,
} as const;

export const PORT_SLOT_COUNT = 16;

/** A trouble with an output, the worse the higher. */
export const PortTrouble = {
  none: 0,
  /** Full: takes nothing now. */
  heldUp: 1,
  /** Gone. */
  lost: 2,
} as const;

/** Notes a port's trouble at run time `now[0]`. Allocates nothing. */
export function foldPortTrouble(port: PortState, trouble: number, now: Float64Array): void {
  const { numbers } = port;
  if (numbers[PortSlot.trouble] === trouble) return;
  numbers[PortSlot.trouble] = trouble;
  numbers[PortSlot.troubleSinceMicros] = now[0]!;
  if (trouble === PortTrouble.lost) numbers[PortSlot.losses]! += 1;
}
