import { columnsOfChannels } from '../arrange/columns-of-channels.ts';
import type { Instrument } from '../instrument/instrument.ts';
import { type Seat, seatWords } from '../instrument/orchestra.ts';
import { resetsFollowed, type SystemReset } from '../instrument/reset-heard.ts';
import { songDrumChannels, withSongDrums } from '../instrument/song-drums.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { wireFor } from '../wire/wire-for.ts';
import type { CheckOptions } from './check-options.ts';
import { instrumentCheckOf } from './instrument-check.ts';
import { type InstrumentFinding, isHint } from './instrument-finding.ts';
import { type Polyphony, polyphonyOf } from './polyphony.ts';
import type { CheckChange, InstrumentCheck, SeatCheck } from './song-check.ts';
import { type WireVerdict, wireCheckOf } from './wire-check.ts';

/** What goes to one instrument, held against it and its wire. */
export interface SeatVerdict {
  /** Undefined where one instrument is behind all channels. */
  readonly seat: Seat | undefined;
  readonly instrument: Instrument;
  readonly instrumentName: string | undefined;
  /** The song as it comes to this instrument. */
  readonly timeline: Timeline;
  readonly voices: number;
  readonly polyphony: Polyphony;
  readonly lacks: readonly InstrumentFinding[];
  readonly wire: WireVerdict;
  /** It can do all that is asked of it; always where nobody said what it is. */
  readonly fits: boolean;
  /** For an instrument that nobody named. */
  readonly tooManyVoices: boolean;
}

/** One for each port of the map; one in all where there is none. The same judges see each part of the song. */
export function seatVerdictsOf(timeline: Timeline, settings: CheckOptions): SeatVerdict[] {
  const { seats } = settings;
  if (seats.length === 0) return [verdictOf(timeline, settings, undefined)];
  const resets = resetsFollowed(seats.map(({ instrument }) => instrument));
  return seats.map((seat) => {
    const { columns } = columnsOfChannels(timeline.columns, seat.channels);
    const traits = wireFor(settings.traits, seat.instrument);
    return verdictOf({ ...timeline, columns }, { ...settings, ...seat, traits }, seat, resets);
  });
}

function verdictOf(
  timeline: Timeline,
  settings: CheckOptions,
  seat: Seat | undefined,
  othersResets?: ReadonlySet<SystemReset>,
): SeatVerdict {
  const { instrument, instrumentName } = settings;
  const voices = settings.voices ?? instrument.voices;
  const asSetUp = withSongDrums(instrument, songDrumChannels(timeline.columns));
  const polyphony = polyphonyOf(timeline, asSetUp, settings.curvePoints, voices);
  const found = instrumentCheckOf(timeline, asSetUp, polyphony, othersResets);
  return {
    seat,
    instrument,
    instrumentName,
    timeline,
    voices,
    polyphony,
    lacks: seat === undefined ? found : found.map((one) => placed(one, seat)),
    wire: wireCheckOf(timeline, settings),
    fits: instrumentName === undefined || found.every(({ code }) => isHint(code)),
    tooManyVoices: instrumentName === undefined && polyphony.check.most > voices,
  };
}

function placed(finding: InstrumentFinding, seat: Seat): InstrumentFinding {
  return { ...finding, port: seat.port, text: `${seatWords(seat)}: ${finding.text}` };
}

/** One instrument, or what several are together. */
export function allTogether(verdicts: readonly SeatVerdict[]): InstrumentCheck {
  const instruments = verdicts.map(({ instrument }) => instrument);
  return {
    name: instruments.map(({ name }) => name).join(', '),
    given: verdicts.some(({ instrumentName }) => instrumentName !== undefined),
    parts: instruments.reduce((sum, { parts }) => sum + parts, 0),
    releaseMs: Math.max(...instruments.map(({ releaseMicros }) => releaseMicros)) / 1000,
    findings: verdicts.flatMap(({ lacks }) => lacks),
  };
}

export function seatCheckOf({
  seat,
  instrument,
  instrumentName,
  voices,
  polyphony,
}: SeatVerdict): SeatCheck[] {
  if (seat === undefined) return [];
  const { most, at, overSeconds } = polyphony.check;
  return [
    {
      port: seat.port,
      channels: seat.channels.map((channel) => channel + 1),
      name: instrument.name,
      given: instrumentName !== undefined,
      parts: instrument.parts,
      releaseMs: instrument.releaseMicros / 1000,
      voices,
      mostVoices: most,
      mostAt: at,
      overSeconds,
    },
  ];
}

/** Where voices are nearest to running out. */
export function fullest(verdicts: readonly SeatVerdict[]): SeatVerdict {
  const share = ({ polyphony: { check } }: SeatVerdict) => check.most / check.voices;
  return verdicts.reduce((most, one) => (share(one) > share(most) ? one : most));
}

/** All wires as one verdict: the figures of that on which notes are furthest from their moments. */
export function wireVerdictOf(verdicts: readonly SeatVerdict[]): WireVerdict {
  const wires = verdicts.map(({ wire }) => wire);
  const distance = ({ check }: WireVerdict) => check.packed.worstOnsetDistanceMicros;
  const worst = wires.reduce((far, one) => (distance(one) > distance(far) ? one : far));
  const port = verdicts[wires.indexOf(worst)]!.seat?.port ?? null;
  return {
    check: { ...worst.check, port },
    changes: strongest(wires.flatMap(({ changes }) => changes)),
    asItIs: wires.every(({ asItIs }) => asItIs),
    withChanges: wires.every(({ withChanges }) => withChanges),
  };
}

/** Of changes by one flag, that which goes furthest: one command line serves all ports. */
function strongest(changes: readonly CheckChange[]): CheckChange[] {
  const byFlag = new Map<string, CheckChange>();
  for (const change of changes) {
    const before = byFlag.get(change.flags[0]!);
    if (before === undefined || Number(change.flags[1]) > Number(before.flags[1])) {
      byFlag.set(change.flags[0]!, change);
    }
  }
  return [...byFlag.values()];
}
