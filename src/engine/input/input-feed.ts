/** What a feed hands over: bytes, or what became of the input. */
export const Fed = {
  nothing: -1,
  bytes: 0,
  /** The device went away: what was begun will not be ended. */
  lost: 1,
  /** It is there, for the first time or again. */
  back: 2,
  /** Nothing more will come. */
  ended: 3,
  /** Something between what came before and what comes next had no room. */
  cut: 4,
} as const;

/** What an input brings, as the sending thread takes it: entry by entry, without garbage. */
export interface InputFeed {
  /**
   * The bytes of the entry that was taken last; `count` of them: one whole message with its status byte, or a piece of a
   * SysEx.
   */
  readonly bytes: Uint8Array;
  count: number;
  /** Register: run time (µs) at which the last of them was there; below 0 what came before the run began. */
  readonly arrivedMicros: Float64Array;
  /** What was last said of the input, `Fed.lost`, `back` or `ended`; before the first word `Fed.nothing`. */
  readonly input: number;
  /**
   * Takes the next entry that is there.
   * @param now register: run time
   * @returns one of `Fed`
   */
  take(now: Float64Array): number;
  /** The run begins. @param originMicros the machine's monotonic clock (µs) at run time 0 */
  begin(originMicros: number): void;
  /** Lowers `into[0]` to the run time of the next entry, where that is known before it comes. */
  next(into: Float64Array): void;
}

/** Bytes of one entry: a message, or a piece of a SysEx. */
export const FED_BYTES = 6;
