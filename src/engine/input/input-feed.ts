/** What a feed hands over: bytes, or what became of the input. */
export const Fed = {
  nothing: -1,
  bytes: 0,
  /** The device went away, or bytes were lost on the way: what was begun will not be ended. */
  lost: 1,
  /** It is there, for the first time or again. */
  back: 2,
  /** Nothing more will come. */
  ended: 3,
} as const;

/** What an input brings, as the sending thread takes it: entry by entry, without garbage. */
export interface InputFeed {
  /** The bytes of the entry that was taken last; `count` of them. */
  readonly bytes: Uint8Array;
  count: number;
  /** Register: run time (µs) at which the last of them was there. */
  readonly arrivedMicros: Float64Array;
  /**
   * Takes the next entry that is there.
   * @param now register: run time
   * @returns one of `Fed`
   */
  take(now: Float64Array): number;
  /** Lowers `into[0]` to the run time of the next entry, where that is known before it comes. */
  next(into: Float64Array): void;
}

/** Bytes of one entry: two messages of three. Longer chunks are cut. */
export const FED_BYTES = 6;
