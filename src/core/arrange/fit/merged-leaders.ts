import type { HeardNotes } from './heard-notes.ts';
import type { ChannelDisturbance } from './part-stretches.ts';

/**
 * Which channels may play along with another of the same program: they never sound a key at the same time, and
 * neither is bent or pedalled while the other plays (a bend or a pedal would take both along).
 * @returns [channel · 128 + program] channel that leads
 */
export function mergedLeaders(notes: HeardNotes, still: ChannelDisturbance, rows: number): Uint8Array {
  const leaderOf = Uint8Array.from({ length: 2048 }, (_, part) => part >> 7);
  const byProgram = new Map<number, Map<number, number[]>>();
  for (let note = 0; note < notes.count; note += 1) {
    if (notes.drum[note]) continue;
    const channels = byProgram.get(notes.program[note]!) ?? new Map<number, number[]>();
    byProgram.set(notes.program[note]!, channels);
    const own = channels.get(notes.channel[note]!);
    if (own === undefined) channels.set(notes.channel[note]!, [note]);
    else own.push(note);
  }
  for (const [program, channels] of byProgram) {
    if (channels.size < 2) continue;
    const largestFirst = [...channels].sort(([, a], [, b]) => b.length - a.length);
    const groups: { leader: number; notes: number[] }[] = [];
    for (const [channel, own] of largestFirst) {
      const isStill = still.isStill(channel, 0, rows);
      const group = groups.find(
        (other) => isStill && still.isStill(other.leader, 0, rows) && !shareKeys(notes, other.notes, own),
      );
      if (group === undefined) groups.push({ leader: channel, notes: own });
      else {
        leaderOf[channel * 128 + program] = group.leader;
        group.notes = [...group.notes, ...own].sort((a, b) => a - b);
      }
    }
  }
  return leaderOf;
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
