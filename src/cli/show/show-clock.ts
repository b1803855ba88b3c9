import { setTimeout as after } from 'node:timers/promises';

/** Time as a show has it: what o'clock it is, and waiting. */
export interface ShowClock {
  now(): Date;
  wait(milliseconds: number): Promise<void>;
  /** So much music was played meanwhile; only a clock that does not run by itself needs to be told. */
  passed(microseconds: number): void;
}

export const REAL_CLOCK: ShowClock = {
  now: () => new Date(),
  wait: (milliseconds) => after(milliseconds),
  passed: () => {},
};

/** A day in seconds: waiting costs nothing, and music as much time as it lasts. */
export function virtualShowClock(begin: Date): ShowClock {
  let millis = begin.getTime();
  return {
    now: () => new Date(millis),
    wait(milliseconds) {
      millis += milliseconds;
      return new Promise((resolve) => setImmediate(resolve));
    },
    passed(microseconds) {
      millis += microseconds / 1000;
    },
  };
}
