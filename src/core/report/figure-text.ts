import { keyName } from '../midi/key-names.ts';
import type { CheckPlace } from './check-place.ts';
import type { ChannelCheck, ChannelProgram } from './song-check.ts';

/** 27840 → `27.8 ms`. */
export const millis = (micros: number): string => `${(micros / 1000).toFixed(1)} ms`;

/** 0.483 → `48 %`. */
export const percent = (share: number): string => `${Math.round(share * 100)} %`;

/** 133.4 → `2:13`, 3700 → `1:01:40`. */
export function clock(seconds: number): string {
  const whole = Math.floor(seconds);
  const two = (part: number) => String(part).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

export const barBeat = ({ bar, beat }: CheckPlace): string => `${bar}:${beat}`;

/** 1 → `1 note`, 2 → `2 notes`. */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

export function keyRange({ lowestKey, highestKey }: ChannelCheck): string {
  if (lowestKey === null || highestKey === null) return '';
  return lowestKey === highestKey ? keyName(lowestKey) : `${keyName(lowestKey)}-${keyName(highestKey)}`;
}

/** `Harpsichord`, `Harpsichord (bank 8.0)`; where the song names none, the module's own. */
export function programWords(programs: readonly ChannelProgram[]): string {
  if (programs.length === 0) return "module's own";
  return programs
    .map(({ name, bankMsb, bankLsb }) =>
      bankMsb + bankLsb > 0 ? `${name} (bank ${bankMsb}.${bankLsb})` : name,
    )
    .join(', ');
}

/** Cuts to a width with an ellipsis. */
export function cut(text: string, width: number, ascii: boolean): string {
  if (text.length <= width) return text;
  const end = ascii ? '..' : '…';
  return `${text.slice(0, Math.max(0, width - end.length))}${end}`;
}
