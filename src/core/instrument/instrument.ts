/**
 * What is connected: everything lanes, check, plan, chase and fit need to know of an instrument. Channels, programs
 * and banks are counted from 0 here, as on the wire. A profile (TOML) or a name document is read into this; what
 * it leaves unsaid is General MIDI Level 1.
 */
export interface Instrument {
  readonly name: string;
  /** Notes it can sound at once, where each takes one voice. */
  readonly voices: number;
  /** Different programs it can have at once; the drums, where it has any, come on top. */
  readonly parts: number;
  /** Channels it hears, ascending. */
  readonly channels: readonly number[];
  /** Keys it sounds, on channels that are no drums. */
  readonly keys: KeyRange;
  /** Which note gives way when all voices sound. */
  readonly full: VoiceStealing;
  /** A note goes on sounding, and holds its voice, for so long after it is let go. */
  readonly releaseMicros: number;
  /** Pitch bend range, in semitones up and down, until a song sets another. */
  readonly bendRangeSemitones: number;
  /** Controllers it follows; undefined: nothing is known, so all. Mode messages (120–127) count here too. */
  readonly controllers: ReadonlySet<number> | undefined;
  /** Registered parameters it follows, as `msb << 7 | lsb`; undefined: all. */
  readonly registeredParameters: ReadonlySet<number> | undefined;
  readonly resets: ReadonlySet<ResetKind>;
  readonly pauses: Pauses;
  /** False: it loses its way when status bytes are left out, so each message is sent whole. */
  readonly runningStatus: boolean;
  readonly banks: readonly Bank[];
  readonly drums: Drums;
  /** What a person should know of it, in sentences. */
  readonly quirks: readonly string[];
}

export interface KeyRange {
  /** Lowest key, 0–127. */
  readonly low: number;
  /** Highest key, 0–127; not below `low`. */
  readonly high: number;
}

export type VoiceStealing = 'oldest' | 'released' | 'newest';

export type ResetKind = 'gm1' | 'gm2' | 'reset-all-controllers' | 'all-notes-off' | 'all-sound-off';

/** Rests it needs, in microseconds; 0 for none. */
export interface Pauses {
  readonly afterResetMicros: number;
  readonly afterProgramMicros: number;
  readonly afterSysExMicros: number;
  /** Between two bytes on the wire, on top of the wire's own time. */
  readonly betweenBytesMicros: number;
}

/** A list of programs and how it is selected. */
export interface Bank {
  readonly name: string;
  /** CC 0; undefined: not sent. */
  readonly msb: number | undefined;
  /** CC 32; undefined: not sent. */
  readonly lsb: number | undefined;
  /** Ascending by number; a number that is missing has no sound. */
  readonly programs: readonly Program[];
}

export interface Program {
  /** As in the Program Change, 0–127. */
  readonly number: number;
  readonly name: string;
  /** The General MIDI program (0–127) it stands nearest to; undefined: nobody said. */
  readonly like: number | undefined;
  /** Keys it sounds, where they differ from the instrument's. */
  readonly keys: KeyRange | undefined;
  /** Voices one note of it takes. */
  readonly voicesEach: number;
}

export interface Drums {
  /** Channels that play drums; empty: it has none. */
  readonly channels: readonly number[];
  /** Key → name; a key that is missing has no sound. */
  readonly keys: ReadonlyMap<number, string>;
  /** Kits by program number; empty: a program change does nothing there. */
  readonly kits: ReadonlyMap<number, string>;
}
