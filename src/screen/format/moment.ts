import type { Timeline } from '../../core/timeline/timeline.ts';

/** Song time as minutes and seconds: `3:07`; negative times keep their sign: `-0:05`. */
export function clockText(micros: number): string {
  const sign = micros < 0 ? '-' : '';
  const seconds = Math.floor(Math.abs(micros) / 1_000_000);
  return `${sign}${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}

/** Song time as bar and beat, both from 1: `17:3`; `-` where there is no song or no moment. */
export function barBeatText(timeline: Timeline | undefined, songMicros: number): string {
  if (!timeline || songMicros < 0) return '-';
  const at = timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(songMicros));
  return `${at.bar}:${at.beat}`;
}

/** Microseconds as milliseconds for people: `0.4`, `12.3`, `140`. */
export function millisText(micros: number): string {
  const millis = micros / 1_000;
  return Math.abs(millis) < 100 ? millis.toFixed(1) : millis.toFixed(0);
}

/** An age in seconds: `0.8 s`, `12 s`, `3:20`. */
export function ageText(micros: number): string {
  const seconds = micros / 1_000_000;
  if (seconds < 10) return `${seconds.toFixed(1)} s`;
  return seconds < 120 ? `${Math.floor(seconds)} s` : clockText(micros);
}

/** A share of 1 as whole percent. */
export function percentText(share: number): string {
  return `${Math.round(share * 100)}%`;
}

/** A number that always shows its sign: `+3`, `-12`, `0`. */
export function signedText(value: number): string {
  return value > 0 ? `+${value}` : `${value}`;
}
