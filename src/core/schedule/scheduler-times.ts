/**
 * Every time the scheduler keeps, in one Float64Array: a fractional number that crosses a call boundary or sits
 * in an object's field can become garbage, one in here cannot. Run times and song times in microseconds.
 */
export const Time = {
  /** Run time: set by the driver before `apply` and `advance`. */
  now: 0,
  /** Run time at which `advance` wants to be called next; Infinity when nothing is to come. */
  wake: 1,
  /** Song time `anchorSong` was, is or will be reached at run time `anchorNow`; `scale` song µs pass per run µs. */
  anchorSong: 2,
  anchorNow: 3,
  scale: 4,
  /** Song time while the clock stands still. */
  position: 5,
  /** Run time before which nothing but real-time bytes may be handed over. */
  notBefore: 6,
  /** Song time below which no row is released: where play began. */
  floor: 7,
  loopFrom: 8,
  loopTo: 9,
  /** Song time of the end, and of the start position. */
  end: 10,
  start: 11,
  /** Next thing to happen: song time, and run time. */
  nextSong: 12,
  nextRun: 13,
  /** Run time of the latest handing over. */
  lastSent: 14,
  /** Scratch for `Outlet.wireFree`. */
  wireFree: 15,
  /** Earliest song time at which rows ahead of the start may leave while a count-in runs. */
  lead: 16,
} as const;

export const TIME_COUNT = 17;
