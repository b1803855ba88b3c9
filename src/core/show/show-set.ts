/** A set for a show: songs in order, each as it shall be played. Channels are 0–15, programs 0–127. */
export interface ShowSet {
  readonly name: string;
  readonly songs: readonly ShowSong[];
  readonly sections: readonly ShowSection[];
  /** Begin again after the last song. */
  readonly loops: boolean;
  /** Seed of the order; undefined: as the songs stand. */
  readonly shuffleSeed: number | undefined;
}

export interface ShowSong {
  /** Where the song's file is. */
  readonly path: string;
  /** Positions as on the command line (bar:beat, time, marker); undefined: its own beginning and end. */
  readonly from: string | undefined;
  readonly to: string | undefined;
  readonly tempoPercent: number;
  readonly transposeSemitones: number;
  readonly mute: readonly number[];
  readonly solo: readonly number[];
  /** Channel → program that is heard instead of the song's. */
  readonly programs: ReadonlyMap<number, number>;
  /** Share of each channel's volume. */
  readonly volumePercent: number;
  /** Name or file of the instrument, and whether the song is fitted to it. */
  readonly instrument: string | undefined;
  readonly fits: boolean;
  /** How often it is played before the next one. */
  readonly repeats: number;
  readonly before: Pause;
  /** Index into `sections`; undefined: at any time of day. */
  readonly section: number | undefined;
}

/** What comes before a song: a rest, and perhaps somebody who presses a key. */
export interface Pause {
  readonly seconds: number;
  readonly waitsForKey: boolean;
}

/** A part of the day, in minutes since midnight; one that ends before it begins goes over midnight. */
export interface ShowSection {
  readonly name: string;
  readonly fromMinute: number;
  readonly toMinute: number;
}

export const MINUTES_A_DAY = 24 * 60;

/** Whether a section is open at a minute of the day. */
export function isOpen({ fromMinute, toMinute }: ShowSection, minute: number): boolean {
  if (fromMinute === toMinute) return true;
  if (fromMinute < toMinute) return minute >= fromMinute && minute < toMinute;
  return minute >= fromMinute || minute < toMinute;
}

/** Minutes from now until it opens; 0 while it is open. */
export function minutesUntilOpen(section: ShowSection, minute: number): number {
  if (isOpen(section, minute)) return 0;
  return (section.fromMinute - minute + MINUTES_A_DAY) % MINUTES_A_DAY;
}
