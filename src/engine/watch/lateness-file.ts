import { writeFileSync } from 'node:fs';
import { LatenessLog } from './lateness-log.ts';

/**
 * `WIREPIT_LATENESS=<file>[:<ms>]` makes a run count how late each message was handed to its port, from `ms`
 * milliseconds of run time on, and write the histogram when it ends (docs/timing.md). For benches, and for
 * whoever wants to know what a board of theirs can do.
 */
export interface LatenessFile {
  readonly log: LatenessLog;
  /** From the arrival of what somebody plays along to the wire. */
  readonly visits: LatenessLog;
  readonly fromMicros: number;
  /** Never throws: a measurement that cannot be kept is no reason to end badly. */
  write(): void;
}

export function latenessFileFrom(wanted: string | undefined): LatenessFile | undefined {
  if (wanted === undefined || wanted === '') return undefined;
  const { path, ms } = /^(?<path>.+?)(?::(?<ms>\d+))?$/.exec(wanted)!.groups as { path: string; ms?: string };
  const log = new LatenessLog();
  const visits = new LatenessLog();
  return {
    log,
    visits,
    fromMicros: Number(ms ?? 0) * 1000,
    write() {
      const figures = (of: LatenessLog) => ({ counts: [...of.counts()], worstMicros: of.worstMicros() });
      try {
        writeFileSync(path, `${JSON.stringify({ ...figures(log), visits: figures(visits) })}\n`);
      } catch {
        // nowhere to say so: the screen has the terminal
      }
    },
  };
}
