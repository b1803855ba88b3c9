import type { HeardNotes } from './heard-notes.ts';
import { type PartLeaders, partOf, soundOf } from './part-of.ts';
import type { ChannelDisturbance } from './part-stretches.ts';

/**
 * Which channels may play along with another of the same sound: they never sound a key at the same time, and
 * neither is bent or pedalled while the other plays (a bend or a pedal would take both along), nor are notes of either
 * ended all at once (a mode message would end those of both, or of none).
 */
export function mergedLeaders(notes: HeardNotes, still: ChannelDisturbance, rows: number): PartLeaders {
  const leaders = new Map<number, number>();
  const bySound = new Map<number, Map<number, number[]>>();
  for (let note = 0; note < notes.count; note += 1) {
    if (notes.drum[note]) continue;
    const sound = soundOf(notes, note);
    const channels = bySound.get(sound) ?? new Map<number, number[]>();
    bySound.set(sound, channels);
    const own = channels.get(notes.channel[note]!);
    if (own === undefined) channels.set(notes.channel[note]!, [note]);
    else own.push(note);
  }
  for (const [sound, channels] of bySound) {
    if (channels.size < 2) continue;
    const largestFirst = [...channels].sort(([, a], [, b]) => b.length - a.length);
    const groups: { leader: number; notes: number[] }[] = [];
    for (const [channel, own] of largestFirst) {
      const isStill = still.isStill(channel, 0, rows) && !isCut(notes, own, channel);
      const group = groups.find(
        (other) =>
          isStill &&
          still.isStill(other.leader, 0, rows) &&
          !isCut(notes, own, other.leader) &&
          !shareKeys(notes, other.notes, own),
      );
      if (group === undefined) groups.push({ leader: channel, notes: own });
      else {
        leaders.set(partOf(channel, sound), group.leader);
        group.notes = [...group.notes, ...own].sort((a, b) => a - b);
      }
    }
  }
  return leaders;

  function isCut(of: HeardNotes, some: readonly number[], channel: number): boolean {
    return some.some((note) => still.isCut(channel, of.onRow[note]!, of.endRow[note]!));
  }
}

/** Both in order of time. */
function shareKeys(notes: HeardNotes, one: readonly number[], other: readonly number[]): boolean {
  const until = [new Uint32Array(128), new Uint32Array(128)];
  let a = 0;
  let b = 0;
  while (a < one.length || b < other.length) {
    const isOne = b >= other.length || (a < one.length && one[a]! < other[b]!);
    const note = isOne ? one[a++]! : other[b++]!;
    const key = notes.key[note]!;
    if (until[isOne ? 1 : 0]![key]! > notes.onRow[note]!) return true;
    const mine = until[isOne ? 0 : 1]!;
    mine[key] = Math.max(mine[key]!, notes.endRow[note]!);
  }
  return false;
}
