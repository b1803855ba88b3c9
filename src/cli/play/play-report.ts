import { followedTempo } from '../../core/observe/followed-clock.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { PortSlot } from '../../core/observe/port-state.ts';
import type { Finding, Severity } from '../../core/smf/finding.ts';
import type { Song } from '../../core/smf/song.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import type { OutputSpec, PlayAlong } from '../../engine/run/player-options.ts';

/** What `--json` prints at the end of a run. A stable surface: docs/play-json.md. */
export interface PlayReport {
  readonly schema: 'wirepit-play/1';
  readonly song: {
    readonly file: string;
    readonly format: number;
    readonly tracks: number;
    readonly durationSeconds: number;
  };
  readonly sent: { readonly messages: number; readonly noteOns: number; readonly bytes: number };
  /** The sixteen channels in order, 1–16. Programs are 1–128 in rising order. */
  readonly channels: readonly {
    readonly channel: number;
    readonly noteOns: number;
    readonly programs: readonly number[];
  }[];
  readonly findings: readonly {
    readonly severity: Severity;
    readonly offset: number;
    readonly text: string;
  }[];
  readonly wire: {
    readonly worstOnsetLatenessMicros: number;
    readonly worstOnsetSongMicros: number;
    readonly peakLoad: number;
  };
  /** Each output in the order they were named; `sent` and `wire` are all of them together, or the worst. */
  readonly ports: readonly PortReport[];
  /** The clock that was followed, where one was. */
  readonly followed?: FollowReport;
  readonly skippedNoteOns: number;
  readonly heldSysEx: number;
  /** Only with `--thru-from`. */
  readonly playAlong?: PlayAlongReport;
  /** Keys still sounding when the run was over; 0 unless something went wrong. */
  readonly soundingAtEnd: number;
}

export interface PlayAlongReport {
  readonly from: string;
  /** 1–16, or `as-played`. */
  readonly channel: number | 'as-played';
  readonly notes: number;
  readonly messages: number;
  readonly held: number;
  /** From its arrival to its first byte on the wire. */
  readonly worstWaitMicros: number;
}

export interface FollowReport {
  readonly port: string;
  readonly clocks: number;
  /** Times the clock failed to come while it should have. */
  readonly losses: number;
  /** At the end, to a hundredth; 0 where no tempo was ever known. */
  readonly quartersPerMinute: number;
  /** Mean absolute miss of the last pulses. */
  readonly jitterMicros: number;
  readonly atEnd: (typeof CLOCK_AT_END)[number];
}

/** By input: `ClockInput`. */
export const CLOCK_AT_END = ['there', 'gone', 'ended'] as const;

/** What a run hears beside playing. */
interface Beside {
  readonly playAlong?: PlayAlong | undefined;
  /** As `--follow` names it. */
  readonly follow?: string | undefined;
}

export interface PortReport {
  readonly name: string;
  readonly port: string;
  /** What the instrument behind it is called, where one was named. */
  readonly instrument?: string;
  readonly channels: readonly number[];
  readonly messages: number;
  readonly noteOns: number;
  readonly bytes: number;
  readonly worstOnsetLatenessMicros: number;
  readonly worstOnsetSongMicros: number;
  readonly peakLoad: number;
  readonly losses: number;
  readonly atEnd: (typeof AT_END)[number];
}

/** By trouble: `PortTrouble`. */
export const AT_END = ['fine', 'full', 'gone'] as const;

export function findingsOf(song: Song, timeline: Timeline): Finding[] {
  return [...song.findings, ...timeline.findings];
}

export function playReport(
  file: string,
  song: Song,
  timeline: Timeline,
  observed: ObservedState,
  outputs: readonly OutputSpec[],
  { playAlong, follow }: Beside = {},
): PlayReport {
  const { numbers } = observed;
  return {
    schema: 'wirepit-play/1',
    song: {
      file,
      format: song.format,
      tracks: song.trackStart.length - 1,
      durationSeconds: timeline.durationMicros / 1e6,
    },
    sent: {
      messages: numbers[Slot.messagesSent]!,
      noteOns: numbers[Slot.noteOnsSent]!,
      bytes: numbers[Slot.bytesSent]!,
    },
    channels: Array.from({ length: 16 }, (_, channel) => ({
      channel: channel + 1,
      noteOns: observed.noteOns[channel]!,
      programs: programsUsed(observed, channel),
    })),
    findings: findingsOf(song, timeline).map(({ severity, offset, text }) => ({ severity, offset, text })),
    wire: {
      worstOnsetLatenessMicros: Math.round(numbers[Slot.worstOnsetLatenessMicros]!),
      worstOnsetSongMicros: Math.round(numbers[Slot.worstOnsetSongMicros]!),
      peakLoad: numbers[Slot.peakLoad]!,
    },
    ports: outputs.map((output, index) => portReport(output, observed, index)),
    ...(follow === undefined ? {} : { followed: followReport(follow, observed) }),
    skippedNoteOns: numbers[Slot.skippedNoteOns]!,
    heldSysEx: numbers[Slot.heldSysEx]!,
    ...(playAlong === undefined ? {} : { playAlong: playAlongReport(playAlong, observed) }),
    soundingAtEnd: observed.sounding.reduce((sum, keys) => sum + keys, 0),
  };
}

function followReport(port: string, observed: ObservedState): FollowReport {
  const { numbers } = observed;
  return {
    port,
    clocks: numbers[Slot.followClocks]!,
    losses: numbers[Slot.followLosses]!,
    quartersPerMinute: Math.round(followedTempo(observed) * 100) / 100,
    jitterMicros: Math.round(numbers[Slot.followSpreadMicros]!),
    atEnd: CLOCK_AT_END[numbers[Slot.followInput]!] ?? 'there',
  };
}

function playAlongReport({ from, channel }: PlayAlong, { numbers }: ObservedState): PlayAlongReport {
  return {
    from,
    channel: channel === 'as-played' ? channel : channel + 1,
    notes: numbers[Slot.visitorNotes]!,
    messages: numbers[Slot.visitorMessages]!,
    held: numbers[Slot.visitorHeld]!,
    worstWaitMicros: Math.round(numbers[Slot.visitorWorstMicros]!),
  };
}

function portReport(
  { name, port, channels, instrument }: OutputSpec,
  observed: ObservedState,
  index: number,
): PortReport {
  const { numbers } = observed.ports[index]!;
  return {
    name: name ?? String(index + 1),
    port,
    ...(instrument === undefined ? {} : { instrument: instrument.name }),
    channels: (channels ?? ALL_CHANNELS).map((channel) => channel + 1),
    messages: numbers[PortSlot.messages]!,
    noteOns: numbers[PortSlot.noteOns]!,
    bytes: numbers[PortSlot.bytes]!,
    worstOnsetLatenessMicros: Math.round(numbers[PortSlot.worstOnsetLatenessMicros]!),
    worstOnsetSongMicros: Math.round(numbers[PortSlot.worstOnsetSongMicros]!),
    peakLoad: numbers[PortSlot.peakLoad]!,
    losses: numbers[PortSlot.losses]!,
    atEnd: AT_END[numbers[PortSlot.trouble]!] ?? 'fine',
  };
}

const ALL_CHANNELS: readonly number[] = Array.from({ length: 16 }, (_, channel) => channel);

function programsUsed(observed: ObservedState, channel: number): number[] {
  const programs: number[] = [];
  for (let program = 0; program < 128; program += 1) {
    if ((observed.programsUsed[channel * 4 + (program >> 5)]! >>> (program & 31)) & 1)
      programs.push(program + 1);
  }
  return programs;
}
