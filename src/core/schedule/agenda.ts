import type { Playback } from './playback.ts';
import { Time } from './scheduler-times.ts';
import { RELOCATE_MICROS } from './sync-out.ts';

/** What can come next while the music runs. */
export const Next = { row: 0, clock: 1, click: 2, relocate: 3, repeat: 4, end: 5 } as const;

/**
 * Decides what comes next and leaves its song time in `nextSong`. At one moment a clock goes before a row (it
 * is one byte, and the follower's beat), a row before a click, everything before the end; but what is released
 * at the loop's end already belongs to after the repeat.
 */
export function nextThing(p: Playback): number {
  const t = p.times;
  let what: number = p.looping ? Next.repeat : Next.end;
  let song = Infinity;
  if (p.row < p.plan.count) {
    song = p.plan.releaseMicros[p.row]!;
    if (song < t[Time.floor]!) song = t[Time.floor]!;
    if (p.row < p.leadEnd) song = t[Time.lead]!;
    what = Next.row;
  }
  if (p.countIn.pending) {
    p.countIn.nextOffset(t, Time.nextSong);
    const click = t[Time.count]! + t[Time.nextSong]!;
    if (click < song) {
      song = click;
      what = Next.click;
    }
  }
  p.sync.nextMicros(t, Time.nextSong);
  if (t[Time.nextSong]! <= song && t[Time.nextSong]! < Infinity) {
    song = t[Time.nextSong]!;
    what = Next.clock;
  }
  if (p.looping) {
    const relocate = t[Time.loopTo]! - RELOCATE_MICROS * t[Time.scale]!;
    if (p.sync.on && !p.sync.waiting && relocate <= song) {
      song = relocate;
      what = Next.relocate;
    }
    if (song >= t[Time.loopTo]!) {
      song = t[Time.loopTo]!;
      what = Next.repeat;
    }
  } else if (song > t[Time.end]!) {
    song = t[Time.end]!;
    what = Next.end;
  }
  t[Time.nextSong] = song;
  return what;
}
