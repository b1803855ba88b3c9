import type { Timeline } from '../../src/core/timeline/timeline.ts';

/** Musical facts of a song, gathered by a plain walk over its messages. */
export interface SongFacts {
  /** Most voices at once, notes held by the damper pedal included. */
  readonly mostVoices: number;
  readonly channels: ReadonlySet<number>;
  /** Lowest and highest key of each program; drums apart. */
  readonly keysByProgram: ReadonlyMap<number, readonly [number, number]>;
  readonly drumKeys: ReadonlySet<number>;
  /** Program changes by channel. */
  readonly programs: ReadonlyMap<number, readonly number[]>;
  readonly controllers: ReadonlySet<number>;
  readonly bends: number;
  /** Seconds. */
  readonly firstNote: number;
}

const DRUM_CHANNEL = 9;

export function songFacts({ columns }: Timeline): SongFacts {
  const { count, status, data1, data2, micros } = columns;
  const sounding = new Set<number>();
  const held = new Set<number>();
  const pedal = new Set<number>();
  const program = new Map<number, number>();
  const programs = new Map<number, number[]>();
  const keysByProgram = new Map<number, [number, number]>();
  const facts = { mostVoices: 0, bends: 0, firstNote: Number.NaN };
  const channels = new Set<number>();
  const drumKeys = new Set<number>();
  const controllers = new Set<number>();
  for (let row = 0; row < count; row += 1) {
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 15;
    const [first, second] = [data1[row]!, data2[row]!];
    const voice = channel * 128 + first;
    if (kind === 0x90 && second > 0) {
      if (Number.isNaN(facts.firstNote)) facts.firstNote = micros[row]! / 1e6;
      channels.add(channel);
      sounding.add(voice);
      held.delete(voice);
      facts.mostVoices = Math.max(facts.mostVoices, sounding.size + held.size);
      if (channel === DRUM_CHANNEL) drumKeys.add(first);
      else {
        const range = keysByProgram.get(program.get(channel)!) ?? [first, first];
        keysByProgram.set(program.get(channel)!, [Math.min(range[0], first), Math.max(range[1], first)]);
      }
    } else if (kind === 0x80 || kind === 0x90) {
      if (sounding.delete(voice) && pedal.has(channel)) held.add(voice);
    } else if (kind === 0xc0) {
      program.set(channel, first);
      programs.set(channel, [...(programs.get(channel) ?? []), first]);
    } else if (kind === 0xb0) {
      controllers.add(first);
      if (first === 64 && second >= 64) pedal.add(channel);
      else if (first === 64) {
        pedal.delete(channel);
        for (const key of held) if (key >> 7 === channel) held.delete(key);
      }
    } else if (kind === 0xe0) facts.bends += 1;
  }
  return { ...facts, channels, keysByProgram, drumKeys, programs, controllers };
}
