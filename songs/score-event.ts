/** One event of a track. `rank` orders events of one tick: releases, then settings, then strikes. */
export interface ScoreEvent {
  readonly tick: number;
  readonly rank: number;
  /** As on the wire; metas as `FF, type, data…`, SysEx as `F0, data…, F7`. */
  readonly bytes: readonly number[];
}

export const RANK = { release: 0, setting: 1, strike: 2 } as const;

export function utf8(text: string): number[] {
  return [...new TextEncoder().encode(text)];
}
