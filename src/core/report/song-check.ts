import type { Reduction } from '../arrange/thin.ts';
import type { SystemReset } from '../instrument/reset-heard.ts';
import type { Severity } from '../smf/finding.ts';
import type { CheckPlace } from './check-place.ts';
import type { InstrumentFinding, InstrumentFindingCode } from './instrument-finding.ts';

/** Version of what follows, as `check --json` prints it. docs/check-json.md has each field in words. */
export const CHECK_SCHEMA = 'wirepit-check/1';

export type Verdict = 'fits' | 'fits-with-changes' | 'does-not-fit';

/** What a song is and whether it fits wire and module. Plain data: it is the JSON, and the text is made of it. */
export interface SongCheck {
  readonly schema: typeof CHECK_SCHEMA;
  readonly file: string;
  readonly verdict: Verdict;
  /** Why the song does not fit as it is, and what its owner should mend; empty when all is well. */
  readonly problems: readonly CheckProblem[];
  /** What makes it fit: flags for the command line, and what each of them does. */
  readonly changes: readonly CheckChange[];
  /** Arguments that play the song with those changes: `["play", "--thin", "2", "song.mid"]`. */
  readonly command: readonly string[];
  readonly song: SongFacts;
  readonly notes: NoteTroubles;
  readonly channels: readonly ChannelCheck[];
  readonly polyphony: PolyphonyCheck;
  readonly instrument: InstrumentCheck;
  /** With `--map` each of them; else empty. */
  readonly instruments: readonly SeatCheck[];
  readonly sysEx: SysExCheck;
  readonly wire: WireCheck;
  readonly findings: readonly CheckFinding[];
}

export type ProblemCode =
  | 'wire-late'
  | 'voices'
  | 'ports'
  | 'finding'
  | 'pedal-left-down'
  | InstrumentFindingCode;

export interface CheckProblem {
  readonly code: ProblemCode;
  readonly text: string;
}

export interface CheckChange {
  readonly flags: readonly string[];
  readonly text: string;
}

export interface CheckFinding {
  readonly code: string;
  readonly severity: Severity;
  readonly offset: number;
  readonly text: string;
}

export interface SongFacts {
  readonly title: string;
  readonly format: number;
  readonly tracks: number;
  /** As in the header: `480 ticks a quarter`, `25 frames a second, 40 ticks a frame`. */
  readonly division: string;
  readonly durationSeconds: number;
  readonly bars: number;
  readonly tempo: { readonly slowest: number; readonly fastest: number; readonly changes: number };
  readonly meters: readonly string[];
  readonly keys: readonly string[];
  readonly markers: number;
  readonly lyrics: number;
  readonly events: number;
  /** Port numbers (meta 21) the tracks with notes ask for, in order. */
  readonly ports: readonly number[];
}

export interface NoteTroubles {
  readonly count: number;
  readonly neverReleased: number;
  readonly struckTwice: number;
  readonly withoutLength: number;
  readonly releasedWithoutNote: number;
  /** Channels (1–16) whose damper, sostenuto or hold pedal is still down at the end. */
  readonly pedalsLeftDown: readonly number[];
}

export interface ChannelCheck {
  /** 1–16. */
  readonly channel: number;
  readonly programs: readonly ChannelProgram[];
  readonly notes: number;
  /** Lowest and highest key, null without notes. */
  readonly lowestKey: number | null;
  readonly highestKey: number | null;
  readonly mostNotesAtOnce: number;
  readonly controllers: readonly { readonly number: number; readonly name: string; readonly count: number }[];
  readonly bends: number;
  readonly pressures: number;
  readonly firstBar: number;
  readonly lastBar: number;
  /** Bytes in whole messages, running status not counted. */
  readonly bytes: number;
}

export interface ChannelProgram {
  /** 1–128, as General MIDI prints them. */
  readonly program: number;
  readonly bankMsb: number;
  readonly bankLsb: number;
  readonly name: string;
}

export interface PolyphonyCheck {
  /** Voices the module has. */
  readonly voices: number;
  /** Most keys sounding at once, those held by a pedal included. */
  readonly most: number;
  readonly at: CheckPlace;
  /** Time with more keys sounding than there are voices. */
  readonly overSeconds: number;
  /** Most keys sounding in each of equal stretches of the song. */
  readonly curve: readonly number[];
}

/** The song against what is connected. */
export interface InstrumentCheck {
  readonly name: string;
  /** Somebody said what is connected; else General MIDI is taken, and what it lacks makes no problem. */
  readonly given: boolean;
  readonly parts: number;
  readonly releaseMs: number;
  readonly findings: readonly InstrumentFinding[];
}

/** What goes to one of several instruments. */
export interface SeatCheck {
  readonly port: string;
  /** 1–16. */
  readonly channels: readonly number[];
  readonly name: string;
  readonly given: boolean;
  readonly parts: number;
  readonly releaseMs: number;
  readonly voices: number;
  readonly mostVoices: number;
  readonly mostAt: CheckPlace;
  readonly overSeconds: number;
}

export interface SysExCheck {
  readonly messages: number;
  /** Makers' own, dumps and escapes: not sent unless allowed. */
  readonly heldBack: number;
  readonly longestBytes: number;
  /** `gm-on`, `gm2-on`, `gm-off`: the first reset of the song; null without one. */
  readonly reset: SystemReset | null;
}

export interface WireCheck {
  /** The port whose wire this is, with `--map`: the one on which notes are furthest from their moments. Else null. */
  readonly port: string | null;
  readonly baud: number;
  readonly runningStatus: boolean;
  /** The least worst onset lateness that any plan without early notes can reach. */
  readonly boundMicros: number;
  readonly boundRmsMicros: number;
  readonly fileOrder: PlanCheck;
  readonly packed: PlanCheck;
  /**
   * Packed after thinning, at the tolerance given; null where packing alone comes within one message of the
   * bound, so that thinning has nothing to gain, and was not asked for.
   */
  readonly thinned: ThinnedCheck | null;
  /** Packed with the changes of the verdict; null where none are needed or none help. */
  readonly changed: PlanCheck | null;
  /** Highest share of the wire (0–1) in 100 ms, in each of equal stretches of the song: packed. */
  readonly curve: readonly number[];
}

export interface PlanCheck {
  readonly worstOnsetLatenessMicros: number;
  readonly worstAt: CheckPlace;
  readonly rmsOnsetLatenessMicros: number;
  /** Largest distance from due, early or late: more than the worst lateness only with early notes. */
  readonly worstOnsetDistanceMicros: number;
  readonly onsetsOver20ms: number;
  readonly bytes: number;
  readonly meanLoad: number;
  readonly peakLoad100ms: number;
  readonly peakLoad1s: number;
  /** Longest wait of any message for the wire. */
  readonly worstBacklogMicros: number;
  /** Time before the song's first moment in which channels are set up. */
  readonly leadInMicros: number;
}

export interface ThinnedCheck extends PlanCheck {
  readonly tolerance: number;
  readonly dropped: number;
  /** As in `Reduction`, channels 1–16. */
  readonly reductions: readonly Reduction[];
}
