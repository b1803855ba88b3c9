import type { Timeline } from '../timeline/timeline.ts';
import { MICROS_PER_BYTE } from './heard-stream.ts';
import type { WrittenMusic } from './written-music.ts';

/** By which law a player may have made times of ticks. */
export const LAWS = ['tempo-map', 'first-tempo', 'tempo-120', 'tracks-in-turn', 'no-timing'] as const;
export type Law = (typeof LAWS)[number];

/** Song times (µs) of each note under a law. */
export interface LawTimes {
  readonly law: Law;
  readonly micros: Float64Array;
}

/** The laws that give a song other times than those before them do. */
export function lawTimes({ tempoMap, ticksPerQuarter }: Timeline, music: WrittenMusic): LawTimes[] {
  const laws: LawTimes[] = [{ law: 'tempo-map', micros: music.micros }];
  const steady = (microsPerQuarter: number) =>
    music.tick.map((tick) => (tick * microsPerQuarter) / ticksPerQuarter);
  const { stretches } = tempoMap;
  const last = stretches.at(-1)!;
  const first = stretches[0]!.microsPerQuarter;
  if (stretches.length > 1 && last.tick > 0) laws.push({ law: 'first-tempo', micros: steady(first) });
  if (first !== 500_000 || stretches.length > 1) {
    const micros = steady(500_000);
    if (laws.every((other) => !isAlike(other.micros, micros))) laws.push({ law: 'tempo-120', micros });
  }
  laws.push({ law: 'no-timing', micros: music.bytes.map((bytes) => bytes * MICROS_PER_BYTE) });
  return laws;
}

function isAlike(a: Float64Array, b: Float64Array): boolean {
  return a.every((value, n) => Math.abs(value - b[n]!) < 1000);
}
