import { counted } from '../report/figure-text.ts';
import type { LineErrors, LoopJudgement, SectionDamage } from './judge-loop.ts';
import { type LoopCause, loopCauses } from './loop-causes.ts';
import { LOOP_GUIDE, type LoopCode, type LoopWords } from './loop-guide.ts';
import type { LoopLatency, LoopQueue } from './loop-times.ts';

/** What `loop --json` prints. A stable surface: docs/loop-json.md. */
export interface LoopDocument {
  readonly schema: 'wirepit-loop/1';
  readonly port: string | null;
  readonly from: string | null;
  readonly quiet: boolean;
  readonly rounds: number;
  /** `sent`: there was no input to hear it at. */
  readonly verdict: 'sound' | 'faulty' | 'sent';
  readonly bytes: {
    readonly sent: number;
    readonly heard: number;
    readonly lost: number;
    readonly changed: number;
    readonly added: number;
    readonly reEncoded: boolean;
    /** Different values in what was sent, of 256. */
    readonly values: number;
  };
  /** [0–7] the lowest bit first. */
  readonly bits: { readonly set: readonly number[]; readonly cleared: readonly number[] };
  readonly latency: LoopLatency | null;
  readonly queue: LoopQueue | null;
  readonly baud: {
    readonly baud: number;
    readonly uncertainty: number;
    readonly ppm: number;
    readonly uncertaintyPpm: number;
  } | null;
  readonly byteMicros: number | null;
  readonly heldMicros: number | null;
  readonly lineErrors: LineErrors | null;
  readonly sections: readonly SectionDamage[];
  readonly causes: readonly (LoopCause & LoopWords)[];
  readonly faults: readonly {
    readonly kind: 'lost' | 'changed' | 'added';
    readonly offset: number;
    readonly section: string;
    readonly sent: number | null;
    readonly heard: number | null;
  }[];
}

const MOST_FAULTS = 100;

export interface LoopPorts {
  readonly port: string | undefined;
  readonly from: string | undefined;
}

export function loopDocument(ports: LoopPorts, loop: LoopJudgement): LoopDocument {
  const { pattern, sending, hearing, damage, counted, rate } = loop;
  const isHeard = ports.from !== undefined;
  const causes = isHeard ? loopCauses(loop) : sending?.isLost ? [lostAfter(loop.sentBytes)] : [];
  const { steps, stepOf, bytes } = pattern;
  return {
    schema: 'wirepit-loop/1',
    port: ports.port ?? null,
    from: ports.from ?? null,
    quiet: pattern.plan.quiet,
    rounds: pattern.plan.rounds,
    verdict: causes.length > 0 ? 'faulty' : isHeard ? 'sound' : 'sent',
    bytes: {
      sent: loop.sentBytes,
      heard: hearing.bytes.length + hearing.unkept,
      lost: isHeard ? counted.lost : 0,
      changed: counted.changed,
      added: counted.added + hearing.unkept,
      reEncoded: loop.isReEncoded,
      values: new Set(bytes.subarray(0, loop.sentBytes)).size,
    },
    bits: { set: counted.bitsSet, cleared: counted.bitsCleared },
    latency: loop.latency === undefined ? null : roundedLatency(loop.latency),
    queue: loop.queue === undefined ? null : roundedQueue(loop.queue),
    baud:
      rate === undefined || rate.baud === null
        ? null
        : {
            baud: rounded(rate.baud, 10),
            uncertainty: rounded(rate.baudUncertainty!, 10),
            ppm: Math.round(rate.ppm!),
            uncertaintyPpm: Math.round((rate.baudUncertainty! / rate.baud) * 1e6),
          },
    byteMicros: rate === undefined ? null : rounded(rate.byteMicros, 1000),
    heldMicros: sending === undefined ? null : Math.round(sending.heldMicros),
    lineErrors: loop.lineErrors ?? null,
    sections: isHeard ? loop.sections : [],
    causes: causes.map((cause) => ({ ...cause, ...LOOP_GUIDE[cause.code] })),
    faults: (isHeard ? damage.faults : []).slice(0, MOST_FAULTS).map(({ kind, place, sent, heard }) => ({
      kind,
      offset: place,
      section: steps[stepOf[Math.min(place, bytes.length - 1)]!]!.section,
      sent: sent ?? null,
      heard: heard ?? null,
    })),
  };
}

const lostAfter = (sentBytes: number): LoopCause => ({
  code: 'port-lost' satisfies LoopCode,
  evidence: `after ${counted(sentBytes, 'byte')}`,
});

const rounded = (value: number, parts: number) => Math.round(value * parts) / parts;

function roundedLatency(latency: LoopLatency): LoopLatency {
  const whole = (value: number | null) => (value === null ? null : Math.round(value));
  return {
    count: latency.count,
    minMicros: whole(latency.minMicros),
    p50Micros: whole(latency.p50Micros),
    p95Micros: whole(latency.p95Micros),
    maxMicros: whole(latency.maxMicros),
    spreadMicros: Math.round(latency.spreadMicros),
    wireMicros: Math.round(latency.wireMicros),
  };
}

function roundedQueue(queue: LoopQueue): LoopQueue {
  return {
    longestMicros: Math.round(queue.longestMicros),
    beyondP50Micros: Math.round(queue.beyondP50Micros),
    beyondP95Micros: Math.round(queue.beyondP95Micros),
    beyondMaxMicros: Math.round(queue.beyondMaxMicros),
  };
}
