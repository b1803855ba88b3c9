/**
 * Percussion keys (General MIDI 1, and those that General MIDI 2 adds, from memory) that can stand in for each other,
 * nearest groups side by side: our own table.
 */
const DRUM_GROUPS: readonly (readonly number[])[] = [
  [35, 36],
  [38, 40, 37, 39, 28],
  [41, 43, 45, 47, 48, 50],
  [42, 44, 46],
  [49, 57, 55, 52],
  [51, 59, 53],
  [54, 69, 70, 82, 83],
  [60, 61, 62, 63, 64],
  [65, 66],
  [56, 67, 68],
  [75, 76, 77, 37, 31, 32, 33, 27, 85],
  [80, 81, 34, 84],
  [71, 72],
  [73, 74, 29, 30],
  [78, 79],
  [86, 87],
  [58],
];

/** Where a group has nothing, these are tried: hi-hats for shakers, toms for hand drums, rides for hi-hats … */
const STAND_INS: Readonly<Record<number, readonly number[]>> = {
  3: [5, 6],
  4: [5],
  5: [3, 4],
  6: [3],
  7: [2],
  8: [7, 2],
  9: [10, 5],
  10: [1],
  11: [5],
  13: [6],
  14: [7],
  15: [7, 2],
};

/** A key the instrument has a sound for that can stand in for one it has none for. Never an octave. Or undefined. */
export function nearestDrumKey(key: number, has: ReadonlyMap<number, string>): number | undefined {
  if (has.size === 0 || has.has(key)) return key;
  const group = DRUM_GROUPS.findIndex((keys) => keys.includes(key));
  if (group < 0) return undefined;
  for (const from of [group, ...(STAND_INS[group] ?? [])]) {
    const there = DRUM_GROUPS[from]!.filter((other) => has.has(other));
    if (there.length > 0) return there.reduce((a, b) => (Math.abs(b - key) < Math.abs(a - key) ? b : a));
  }
  return undefined;
}
