/**
 * What a fitted song says of itself that its messages cannot say: where its drums are, and how far its bends are
 * meant to reach on an instrument that cannot be told. Written as a text event, so that other programs pass it by
 * and fitting again changes nothing.
 */
export interface FitMarks {
  /** Channels 0–15. */
  readonly drumChannels: readonly number[];
  /** Semitones that a bend means where no RPN 00 00 says so. */
  readonly bendRange: number;
}

/** General MIDI 1: drums on channel 10, bends of two semitones. */
export const GENERAL_MARKS: FitMarks = { drumChannels: [9], bendRange: 2 };

const WORDS = /^wirepit fit: drums on channels? ([\d,]*); bends of ([\d.]+) semitones$/;

export function marksText({ drumChannels, bendRange }: FitMarks): string {
  const channels = drumChannels.map((channel) => channel + 1).join(',');
  return `wirepit fit: drums on channel ${channels}; bends of ${bendRange} semitones`;
}

/** Undefined where a text is no such mark. */
export function marksOf(text: string): FitMarks | undefined {
  const found = WORDS.exec(text);
  if (found === null) return undefined;
  const drumChannels = found[1]!
    .split(',')
    .filter((word) => word !== '')
    .map((word) => Number(word) - 1);
  const bendRange = Number(found[2]);
  const isSound = drumChannels.every((channel) => channel >= 0 && channel < 16) && bendRange >= 0;
  return isSound ? { drumChannels, bendRange } : undefined;
}
