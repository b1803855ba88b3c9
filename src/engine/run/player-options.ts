import type { Instrument } from '../../core/instrument/instrument.ts';
import type { Command } from '../../core/schedule/command.ts';
import type { BeatTable } from '../../core/schedule/count-in.ts';
import type { VisitorChannel } from '../../core/schedule/visitor.ts';
import type { SendPlan } from '../../core/wire/send-plan.ts';
import type { HearRequest } from '../input/ear.ts';
import type { FollowRequest } from './clock-following.ts';

/** One output: what it is called on the command line, and which channels it plays. */
export interface OutputSpec {
  /** `mock`, `file:<path>`, `serial:<device>`, … as `openOutput` reads it. */
  readonly port: string;
  /** What `--map` and people call it, where there are several. */
  readonly name?: string;
  /** Channels 0–15 that go here; all when left out. System messages go to every output. */
  readonly channels?: readonly number[];
  /** A file that is there already may be written over. */
  readonly replace?: boolean;
  /** What is behind it, where that is known: its rests are kept. */
  readonly instrument?: Instrument;
}

/** All a run needs to know at its start. Everything else is a `Command`. */
export interface PlayerOptions {
  /** What to send and when; its columns lie in SharedArrayBuffers. */
  readonly plan: SendPlan;
  /** Song time at which the run ends by itself: the timeline's `durationMicros`. */
  readonly durationMicros: number;
  /** At least one. */
  readonly outputs: readonly OutputSpec[];
  /** Song time to begin at, after a chase. 0 when left out. */
  readonly startMicros?: number;
  /** Plays at once (the default); otherwise waits, stopped, for a `play`. */
  readonly autoPlay?: boolean;
  /** After the song's end stands silent until it is told to play again or to quit; otherwise the run is over. */
  readonly staysOpen?: boolean;
  /** Obeyed in this order before anything is sent: mutes, solos, trims, tempo scale, transpose, loop. */
  readonly setup?: readonly Command[];
  /** Lets SysEx that is not universal pass. */
  readonly allowSysEx?: boolean;
  /** Rest after a reset message, in microseconds (common practice, no source). */
  readonly settleMicros?: number;
  /** Bits of the channels that play drums; General MIDI's channel 10 where left out. */
  readonly drumChannels?: number;
  /** Clicks before the music, on the first channel with drums. */
  readonly countIn?: CountInRequest;
  /** Sends FE often enough that a receiver that honours it goes silent when we die (MIDI 1.0, p. 32). */
  readonly activeSensing?: boolean;
  /** Sends Timing Clock, Start, Stop, Continue and Song Position Pointer. */
  readonly syncOut?: boolean;
  /** Song time of every Timing Clock, 24 a quarter note, for `syncOut`; in a SharedArrayBuffer. */
  readonly clockMicros?: Float64Array;
  /** Follows another machine's clock: `autoPlay` false then only says that the music is to stay out at first. */
  readonly follow?: FollowRequest;
  /** Strikes again what should be sounding after a seek. */
  readonly restrike?: boolean;
  /** Starts although a device is not there yet; it is then lost until it comes. */
  readonly waitForDevice?: boolean;
  /** What to do while a port is gone: keep the song's time running, or pause until the port is back. */
  readonly whenPortLost?: 'go-on' | 'pause';
  /** File that gets every message sent, with its time (see docs/file-port.md). */
  readonly recordPath?: string;
  /** What earlier runs could not bring to rest. */
  readonly leftBehind?: readonly LeftBehind[];
  /** Somebody may play along. */
  readonly playAlong?: PlayAlong;
  /** The inputs that the clock of `follow`, and whoever plays along, come from. */
  readonly inputs?: HearRequest;
  /** Where the sending thread counts how long what they play takes to the wire; for benches. */
  readonly visitLog?: SharedArrayBuffer;
  /** Where the sending thread counts how late it handed each message over; for benches. */
  readonly latenessLog?: SharedArrayBuffer;
  /** Run time from which it counts. */
  readonly latenessFromMicros?: number;
}

/** What a run could not bring to rest since a port was gone as it ended; the next run does, when the port is there. */
export interface LeftBehind {
  /** What was seen on the wire: of an `ObservedState`. */
  readonly observed: SharedArrayBuffer;
  /** Bits of the channels meant. */
  readonly channels: number;
}

/** An input that is merged with the song, and the channel it is put on (see `Visitor`). */
export interface PlayAlong {
  /** As `openInput` reads it. */
  readonly from: string;
  readonly channel: VisitorChannel;
}

export interface CountInRequest {
  readonly bars: number;
  /** The song's beats (`beatTableOf`), so that the clicks follow tempo and meter wherever play begins. */
  readonly beats: BeatTable;
}
