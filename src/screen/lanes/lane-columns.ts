/** Where the parts of a lane stand, in columns from the lane's left edge; −1 or width 0 for what is left out. */
export interface LaneColumns {
  readonly cursor: number;
  readonly number: number;
  /** Mute or solo; on the narrowest lanes also the stuck and the held-back sign. */
  readonly sign: number;
  readonly heldBack: number;
  readonly name: number;
  readonly nameWidth: number;
  readonly changed: number;
  readonly strip: number;
  /** Cells of the pitch strip, a power of two, so that every half cell spans the same number of keys. */
  readonly stripWidth: number;
  readonly count: number;
  readonly stuck: number;
  readonly pedal: number;
  readonly bend: number;
  readonly volume: number;
  readonly volumeWidth: number;
}

const STRIP_WIDTHS = [128, 64, 32, 16] as const;
/** The longest General MIDI name, "Acoustic Guitar (steel)", has 23 letters. */
const LONGEST_NAME = 24;
/** In less room only an ellipsis would stand. */
const SHORTEST_NAME = 4;
const GAUGES = { count: 1, stuck: 3, pedal: 5, bend: 7, volume: 11, volumeWidth: 5, width: 16 } as const;
const COUNT_ONLY = 4;

export function laneColumnsFor(width: number): LaneColumns {
  const gauges = width >= 60 ? GAUGES.width : width >= 34 ? COUNT_ONLY : 0;
  const lead = width >= 34 ? 5 : 4;
  const room = width - lead - gauges;
  const leastName = width >= 60 ? 13 : 0;
  const stripWidth =
    STRIP_WIDTHS.find((each) => room - each >= (each > 32 ? LONGEST_NAME - 4 : leastName)) ??
    STRIP_WIDTHS.at(-1)!;
  const nameRoom = Math.min(LONGEST_NAME, room - stripWidth - 2);
  const nameWidth = nameRoom < SHORTEST_NAME ? 0 : nameRoom;
  const strip = lead + (nameWidth > 0 ? nameWidth + 2 : 0);
  const right = strip + stripWidth;
  const all = gauges === GAUGES.width;
  return {
    cursor: 0,
    number: 1,
    sign: 3,
    heldBack: lead > 4 ? 4 : 3,
    name: lead,
    nameWidth,
    changed: nameWidth > 0 ? lead + nameWidth : -1,
    strip,
    stripWidth,
    count: gauges > 0 ? right + GAUGES.count : -1,
    stuck: gauges > 0 ? right + GAUGES.stuck : 3,
    pedal: all ? right + GAUGES.pedal : -1,
    bend: all ? right + GAUGES.bend : -1,
    volume: all ? right + GAUGES.volume : -1,
    volumeWidth: all ? Math.min(GAUGES.volumeWidth, width - right - GAUGES.volume) : 0,
  };
}
