/**
 * Which of General MIDI's 128 programs can stand in for which: our own table, made by ear and by how the
 * instruments work; no standard has one. Programs are 0–127.
 */

/** Sub-groups: they sound alike, or are played alike. Every program is in one. */
// biome-ignore format: a line for each family
export const SUB_GROUPS: readonly (readonly number[])[] = [
  [0, 1, 2, 3], [4, 5], [6, 7],
  [8, 9, 10], [11, 12, 13], [14], [15],
  [16, 17, 18], [19, 20], [21, 22, 23],
  [24, 25], [26, 27, 28], [29, 30], [31],
  [32], [33, 34, 35], [36, 37], [38, 39],
  [40, 41, 42], [43], [44], [45], [46], [47],
  [48, 49, 50, 51], [52, 53, 54], [55],
  [56, 59], [57, 58], [60], [61, 62, 63],
  [64, 65, 66, 67], [68, 69, 70], [71],
  [72, 73, 74], [75, 76, 77, 78, 79],
  [80, 81], [82, 83], [84, 86, 87], [85],
  [88, 89, 90], [91], [92, 93, 94, 95],
  [96, 97, 98, 99], [100, 101, 102, 103],
  [104, 105, 106, 107], [108], [109, 111], [110],
  [112, 114], [113, 115], [116, 117, 118], [119],
  [120, 121], [122, 123], [124], [125], [126], [127],
];

/** [16] families of eight programs: those a listener would take for it, nearest first. */
export const NEIGHBOUR_FAMILIES: readonly (readonly number[])[] = [
  [1, 3, 13],
  [0, 14, 13],
  [6, 11, 8],
  [13, 0, 4],
  [3, 0],
  [6, 2, 11],
  [5, 11, 2],
  [8, 10, 6],
  [9, 7, 10],
  [8, 10, 5],
  [9, 8, 7],
  [6, 2, 12],
  [11, 6, 1],
  [3, 0, 1],
  [1, 15],
  [12, 14],
];

/** [16] families that die away once struck; the others sound as long as the key is held. */
export const DYING_FAMILIES: readonly boolean[] = [0, 1, 3, 4, 13, 14].reduce<boolean[]>(
  (dying, family) => dying.with(family, true),
  new Array<boolean>(16).fill(false),
);
