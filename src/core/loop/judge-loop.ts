import type { WireTraits } from '../wire/wire-traits.ts';
import { microsPerByte } from '../wire/wire-traits.ts';
import { type ByteDamage, byteDamage, damageOf, messageDamage } from './byte-damage.ts';
import { lineRate } from './line-rate.ts';
import { bytesTaken, type LoopHearing, type LoopSending } from './loop-hearing.ts';
import type { LoopPattern } from './loop-pattern.ts';
import { LOOP_SECTIONS, type LoopSection } from './loop-plan.ts';
import {
  arrivals,
  fullStretches,
  type LoopLatency,
  type LoopQueue,
  latencyOf,
  queueOf,
} from './loop-times.ts';

/** Errors a system counted at its own receiver; null where it does not tell. */
export interface LineErrors {
  readonly framing: number;
  readonly parity: number;
  readonly overrun: number;
  readonly breaks: number;
}

export interface LoopRate {
  readonly byteMicros: number;
  readonly errorMicros: number;
  /** As a UART of start, eight data and stop bits makes it; null where no wire holds the bytes up. */
  readonly baud: number | null;
  readonly baudUncertainty: number | null;
  /** Of the rate the wire should have; positive: faster. */
  readonly ppm: number | null;
}

export interface SectionDamage {
  readonly section: LoopSection;
  readonly bytes: number;
  readonly lost: number;
  readonly changed: number;
  readonly added: number;
}

/** The interface, judged by what it made of the pattern. */
export interface LoopJudgement {
  readonly pattern: LoopPattern;
  readonly sending: LoopSending | undefined;
  readonly hearing: LoopHearing;
  readonly wire: WireTraits;
  /** Bytes that the port took. */
  readonly sentBytes: number;
  /** As the bytes came. */
  readonly damage: ByteDamage;
  /** Of messages and real-time bytes together, where they were encoded anew on the way; else as `damage`. */
  readonly counted: Pick<ByteDamage, 'lost' | 'changed' | 'added' | 'bitsSet' | 'bitsCleared'>;
  readonly isReEncoded: boolean;
  /** False: what came has next to nothing to do with the pattern. */
  readonly isThePattern: boolean;
  readonly sections: readonly SectionDamage[];
  readonly latency: LoopLatency | undefined;
  readonly queue: LoopQueue | undefined;
  readonly rate: LoopRate | undefined;
  readonly lineErrors: LineErrors | undefined;
}

/** Less of the pattern than this, and it is something else. */
const LEAST_SHARE = 0.2;
/** A wire that is this much faster is none: a pipe, a pty, a virtual port. */
const NO_WIRE = 0.5;

export function judgeLoop(
  pattern: LoopPattern,
  sending: LoopSending | undefined,
  hearing: LoopHearing,
  wire: WireTraits,
  lineErrors?: LineErrors,
): LoopJudgement {
  const sentBytes = sending === undefined ? pattern.bytes.length : bytesTaken(sending, pattern.start);
  const sent = pattern.bytes.subarray(0, sentBytes);
  const damage = byteDamage(sent, hearing.bytes);
  const { counted, isReEncoded } = countedDamage(sent, hearing.bytes, damage);
  const nominal = microsPerByte(wire);
  const arrived = arrivals(damage.heardOf, hearing);
  const latency = latencyOf(pattern, arrived, sending, nominal);
  const rate = rateOf(fullStretches(pattern, damage.heardOf, arrived, sending, nominal), wire);
  const isWire = rate !== undefined && rate.baud !== null;
  const queue =
    sending === undefined
      ? undefined
      : queueOf(pattern, arrived, sending, latency, isWire ? rate.byteMicros : nominal);
  const found = sentBytes - counted.lost - counted.changed;
  return {
    pattern,
    sending,
    hearing,
    wire,
    sentBytes,
    damage,
    counted,
    isReEncoded,
    isThePattern:
      hearing.bytes.length === 0 || found >= LEAST_SHARE * Math.min(sentBytes, hearing.bytes.length),
    sections: sectionDamage(pattern, damage, sentBytes),
    latency,
    queue,
    rate,
    lineErrors,
  };
}

function countedDamage(
  sent: Uint8Array,
  heard: Uint8Array,
  damage: ByteDamage,
): Pick<LoopJudgement, 'counted' | 'isReEncoded'> {
  if (damageOf(damage) === 0) return { counted: damage, isReEncoded: false };
  const { messages, realTime } = messageDamage(sent, heard);
  // Broken messages vanish whole when they are read, so a damaged line never looks better this way.
  if (2 * (damageOf(messages) + damageOf(realTime)) >= damageOf(damage)) {
    return { counted: damage, isReEncoded: false };
  }
  const sum = (a: readonly number[], b: readonly number[]) => a.map((one, n) => one + b[n]!);
  return {
    isReEncoded: true,
    counted: {
      lost: messages.lost + realTime.lost,
      changed: messages.changed + realTime.changed,
      added: messages.added + realTime.added,
      bitsSet: sum(messages.bitsSet, realTime.bitsSet),
      bitsCleared: sum(messages.bitsCleared, realTime.bitsCleared),
    },
  };
}

function rateOf(stretches: Parameters<typeof lineRate>[0], wire: WireTraits): LoopRate | undefined {
  const found = lineRate(stretches);
  if (found === undefined) return undefined;
  const { byteMicros, errorMicros } = found;
  if (!(byteMicros > NO_WIRE * microsPerByte(wire))) {
    return { byteMicros, errorMicros, baud: null, baudUncertainty: null, ppm: null };
  }
  const baud = (wire.bitsPerByte * 1_000_000) / byteMicros;
  return {
    byteMicros,
    errorMicros,
    baud,
    baudUncertainty: (2 * errorMicros * baud) / byteMicros,
    ppm: (baud / wire.baud - 1) * 1e6,
  };
}

function sectionDamage(pattern: LoopPattern, damage: ByteDamage, sentBytes: number): SectionDamage[] {
  const { steps, stepOf, bytes } = pattern;
  const sectionAt = (place: number) => steps[stepOf[Math.min(place, bytes.length - 1)]!]!.section;
  const sections = new Map(
    LOOP_SECTIONS.map((section) => [section, { section, bytes: 0, lost: 0, changed: 0, added: 0 }]),
  );
  for (let place = 0; place < sentBytes; place += 1) sections.get(sectionAt(place))!.bytes += 1;
  for (const { kind, place } of damage.faults) sections.get(sectionAt(place))![kind] += 1;
  return [...sections.values()].filter((one) => one.bytes > 0 || one.added > 0);
}

/**
 * Which of several patterns was sent: the one of which most is there. For a far end that was not told.
 * @param candidates one at least
 */
export function patternHeard(candidates: readonly LoopPattern[], heard: Uint8Array): LoopPattern {
  const faults = candidates.map(({ bytes }) => damageOf(byteDamage(bytes, heard)));
  return candidates[faults.indexOf(Math.min(...faults))]!;
}
