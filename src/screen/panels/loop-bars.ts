import { Slot } from '../../core/observe/observed-state.ts';
import type { Scene } from '../scene/scene.ts';

/** First and last bar of the loop in force, as `41-43`, both of them played; '' without one. */
export function loopBars({ observed, song }: Pick<Scene, 'observed' | 'song'>): string {
  const from = observed.numbers[Slot.loopFromMicros]!;
  const to = observed.numbers[Slot.loopToMicros]!;
  const { timeline } = song;
  if (!timeline || to <= from) return '';
  const barAt = (micros: number) => timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(micros)).bar;
  return `${barAt(from)}-${barAt(to - 1)}`;
}
