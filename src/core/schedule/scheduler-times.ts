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
  /** Run time before which no row may be handed over: a receiver settles, or a SysEx is on the wire. */
  notBefore: 6,
  /** Song time below which no row is released: where play began; −Infinity at the song's start. */
  floor: 7,
  /** −1 while no loop is set. */
  loopFrom: 8,
  loopTo: 9,
  /** Song time of the end, and of the start position. */
  end: 10,
  start: 11,
  /** Next thing to happen: song time, and run time. */
  nextSong: 12,
  nextRun: 13,
  /** Scratch for `Outlet.wireFree`. */
  wireFree: 14,
  /** Song time at which rows may leave ahead of a counted start, and at which the count begins. */
  lead: 15,
  count: 16,
  /** Run time at which the last sound has died away after the song's end. */
  ringOut: 17,
  /** The line of a clock that is followed: song time at run time 0, and song µs a run µs; 0 while it stands. */
  followSong: 18,
  followScale: 19,
} as const;

export const TIME_COUNT = 20;
