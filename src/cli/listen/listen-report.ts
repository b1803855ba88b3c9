import type { ComparisonDocument } from '../../core/compare/comparison-document.ts';
import { hexText } from '../../core/midi/hex-text.ts';
import { FAULT_NAMES, FAULT_WORDS } from '../../core/midi/stream-fault.ts';
import type { RtpCounts } from '../../core/network/rtp-receiver.ts';
import {
  faultCounts,
  faultsSince,
  Heard,
  type ListenState,
  packetsOf,
  SENSING,
  type SeenFault,
} from '../../core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { counted } from '../../core/report/figure-text.ts';
import { packetWords } from '../../core/report/packet-words.ts';
import { fetchedInstrument } from '../../profile/instrument-shelf.ts';

/** What `listen --json` prints at the end. A stable surface: docs/listen-json.md. */
export interface ListenReport {
  readonly schema: 'wirepit-listen/1';
  readonly from: string;
  /** What the instrument is called, where one was named. */
  readonly instrument?: string;
  readonly seconds: number;
  readonly heard: {
    readonly bytes: number;
    readonly messages: number;
    readonly noteOns: number;
    readonly sysEx: number;
    readonly clocks: number;
    /** Bytes before the first status byte: the rest of a message in whose middle listening began. */
    readonly rest: number;
  };
  /** The sixteen channels in order, 1–16. */
  readonly channels: readonly {
    readonly channel: number;
    readonly messages: number;
    readonly noteOns: number;
    readonly sounding: number;
  }[];
  readonly faults: {
    readonly total: number;
    readonly byKind: Readonly<Record<string, number>>;
    /** The latest, at most 64, oldest first; `offset` counts the bytes of the stream from 0. */
    readonly latest: readonly {
      readonly kind: string;
      readonly offset: number | null;
      readonly bytes: readonly number[];
    }[];
  };
  readonly activeSensing: { readonly seen: boolean; readonly lost: number };
  /** How often listening itself stood still, where that was watched (with `--against` or `--record`). */
  readonly standstills: { readonly count: number; readonly longestMicros: number };
  /** What became of the packets, where the input comes in such. */
  readonly packets?: RtpCounts;
  readonly wire: { readonly peakLoad: number };
  readonly soundingAtEnd: number;
  /** With `--against`: what `compare --json` would say of the record. */
  readonly against?: ComparisonDocument;
}

export function listenReport(
  from: string,
  observed: ObservedState,
  listen: ListenState,
  nowMicros: number,
  instrumentName?: string,
  against?: ComparisonDocument,
): ListenReport {
  const { numbers } = listen;
  const counts = faultCounts(listen);
  const packets = packetsOf(listen);
  return {
    schema: 'wirepit-listen/1',
    from,
    ...(instrumentName === undefined ? {} : { instrument: fetchedInstrument(instrumentName).name }),
    seconds: Math.round(nowMicros / 1e4) / 100,
    heard: {
      bytes: numbers[Heard.bytes]!,
      messages: numbers[Heard.messages]!,
      noteOns: observed.numbers[Slot.noteOnsSent]!,
      sysEx: numbers[Heard.sysEx]!,
      clocks: numbers[Heard.clocks]!,
      rest: numbers[Heard.rest]!,
    },
    channels: Array.from({ length: 16 }, (_, channel) => ({
      channel: channel + 1,
      messages: observed.messages[channel]!,
      noteOns: observed.noteOns[channel]!,
      sounding: observed.sounding[channel]!,
    })),
    faults: {
      total: numbers[Heard.faults]!,
      byKind: Object.fromEntries(counts.map((count, kind) => [FAULT_NAMES[kind]!, count])),
      latest: faultsSince(listen, 0).map(({ kind, offset, bytes }) => ({
        kind: FAULT_NAMES[kind]!,
        offset: Number.isNaN(offset) ? null : offset,
        bytes,
      })),
    },
    activeSensing: { seen: numbers[Heard.sensing] !== SENSING.none, lost: numbers[Heard.sensingLost]! },
    standstills: {
      count: numbers[Heard.standstills]!,
      longestMicros: Math.round(numbers[Heard.longestStandstill]!),
    },
    ...(packets === undefined ? {} : { packets }),
    wire: { peakLoad: observed.numbers[Slot.peakLoad]! },
    soundingAtEnd: observed.sounding.reduce((sum, keys) => sum + keys, 0),
    ...(against === undefined ? {} : { against }),
  };
}

/** A fault as one line: where, what, which bytes. */
export function faultLine({ kind, offset, micros, bytes }: SeenFault): string {
  const at = `${(micros / 1e6).toFixed(3)} s  fault`;
  // A log does not tell of each.
  if (Number.isNaN(offset)) return `${at}: ${FAULT_WORDS[kind]}`;
  return `${at} at byte ${offset}: ${FAULT_WORDS[kind]}: ${hexText(bytes)}`;
}

/** How it goes, as one line for a log. */
export function listenLine(observed: ObservedState, listen: ListenState, nowMicros: number): string {
  const { numbers } = listen;
  const sounding = observed.sounding.reduce((sum, keys) => sum + keys, 0);
  const parts = [
    `${(nowMicros / 1e6).toFixed(1)} s`,
    counted(numbers[Heard.messages]!, 'message'),
    `${counted(numbers[Heard.bytes]!, 'byte')} (peak ${Math.round(observed.numbers[Slot.peakLoad]! * 100)} %)`,
    `${sounding} sounding`,
    counted(numbers[Heard.faults]!, 'fault'),
  ];
  if (numbers[Heard.rest]! > 0)
    parts.push(`${counted(numbers[Heard.rest]!, 'byte')} before the first status`);
  const packets = packetsOf(listen);
  if (packets !== undefined) parts.push(packetWords(packets));
  if (numbers[Heard.clockBpm]! > 0) parts.push(`clock ${numbers[Heard.clockBpm]!.toFixed(1)} BPM`);
  if (numbers[Heard.sensing] === SENSING.alive) parts.push('Active Sensing alive');
  if (numbers[Heard.sensingLost]! > 0)
    parts.push(`Active Sensing lost ${counted(numbers[Heard.sensingLost]!, 'time')}`);
  if (numbers[Heard.standstills]! > 0)
    parts.push(`wirepit stood still ${counted(numbers[Heard.standstills]!, 'time')}`);
  if (numbers[Heard.inputTrouble] === 1) parts.push('the input is gone: waiting for it');
  if (observed.numbers[Slot.portTrouble] === 2) parts.push('the output is gone: waiting for it');
  return parts.join('  ');
}
