import { seatedOrchestra, seatWords, soloOrchestra } from '../instrument/orchestra.ts';
import type { Song } from '../smf/song.ts';
import { isNoteOff, isNoteOn } from '../timeline/note-row.ts';
import { NO_PARTNER, type Timeline } from '../timeline/timeline.ts';
import { channelCensusOf } from './channel-census.ts';
import { CHECK_DEFAULTS, type CheckOptions } from './check-options.ts';
import { counted } from './figure-text.ts';
import { type InstrumentFinding, isHint } from './instrument-finding.ts';
import {
  allTogether,
  fullest,
  type SeatVerdict,
  seatCheckOf,
  seatVerdictsOf,
  wireVerdictOf,
} from './seat-verdicts.ts';
import {
  CHECK_SCHEMA,
  type ChannelCheck,
  type CheckChange,
  type CheckProblem,
  type NoteTroubles,
  type SongCheck,
  type SongFacts,
} from './song-check.ts';
import { songFactsOf } from './song-facts.ts';
import { sysExCheckOf } from './sysex-check.ts';
import { voiceChangesOf } from './voice-changes.ts';
import type { WireVerdict } from './wire-check.ts';

/**
 * Looks at a whole song before it is played: what it holds, and whether it fits the wire and the module. Pure.
 * @param file the song's name, as it goes into the report and the command that plays it
 */
export function checkSong(
  file: string,
  song: Song,
  timeline: Timeline,
  options: Partial<CheckOptions> = {},
): SongCheck {
  const settings: CheckOptions = { ...CHECK_DEFAULTS, ...options };
  const facts = songFactsOf(song, timeline);
  const verdicts = seatVerdictsOf(timeline, settings);
  const mostOnChannel = Uint16Array.from({ length: 16 }, (_, channel) =>
    Math.max(...verdicts.map(({ polyphony }) => polyphony.mostOnChannel[channel]!)),
  );
  const orchestra =
    settings.seats.length > 0 ? seatedOrchestra(settings.seats) : soloOrchestra(settings.instrument);
  const channels = channelCensusOf(timeline, mostOnChannel, orchestra);
  const lacks = verdicts.flatMap((verdict) =>
    verdict.fits ? [] : verdict.lacks.filter(({ code }) => !isHint(code)),
  );
  const fits = verdicts.every((verdict) => verdict.fits);
  const wire = wireVerdictOf(verdicts);
  const findings = [...song.findings, ...timeline.findings];
  const pedals = verdicts.flatMap(({ polyphony }) => polyphony.pedalsLeftDown).sort((a, b) => a - b);
  const notes = noteTroublesOf(timeline, pedals);

  const crowded = verdicts.filter(({ tooManyVoices }) => tooManyVoices);
  const voiceChanges = mutesOf(crowded, channels);
  const hasPorts = facts.ports.length > 1;

  const problems = problemsOf(wire, crowded, facts, notes, findings, lacks);
  const isToBeFitted = !fits;
  const voicesDo = crowded.length === 0 || voiceChanges.length > 0;
  const mended = wire.withChanges && !hasPorts && voicesDo && (fits || isToBeFitted);
  const changes = [...wire.changes, ...voiceChanges, ...(isToBeFitted ? [fitChange(settings, file)] : [])];
  const asItIs = wire.asItIs && !hasPorts && crowded.length === 0 && fits;
  return {
    schema: CHECK_SCHEMA,
    file,
    verdict: asItIs ? 'fits' : mended ? 'fits-with-changes' : 'does-not-fit',
    problems,
    changes,
    command: isToBeFitted
      ? ['fit', ...fitFlags(settings, file), file]
      : ['play', ...askedFlags(settings), ...changes.flatMap(({ flags }) => flags), file],
    song: facts,
    notes,
    channels,
    polyphony: fullest(verdicts).polyphony.check,
    instrument: allTogether(verdicts),
    instruments: verdicts.flatMap(seatCheckOf),
    sysEx: sysExCheckOf(timeline.columns),
    wire: wire.check,
    findings: findings.map(({ code, severity, offset, text }) => ({ code, severity, offset, text })),
  };
}

/** Channels to mute, as one flag, so that voices are enough everywhere; none where that cannot be had. */
function mutesOf(crowded: readonly SeatVerdict[], channels: readonly ChannelCheck[]): readonly CheckChange[] {
  const notesOn = Array.from(
    { length: 16 },
    (_, channel) => channels.find((one) => one.channel === channel + 1)?.notes ?? 0,
  );
  // What goes to another instrument does not sound at this one's full moments, so muting it is never enough.
  const mutes = crowded.map(({ timeline, voices }) => voiceChangesOf(timeline, voices, notesOn));
  if (mutes.some((changes) => changes.length === 0)) return [];
  const all = mutes.flat();
  if (all.length < 2) return all;
  const flags = ['--mute', all.map((change) => change.flags[1]!).join(',')];
  return [{ flags, text: all.map(({ text }) => text).join('; ') }];
}

function noteTroublesOf(timeline: Timeline, pedalsLeftDown: readonly number[]): NoteTroubles {
  const { columns } = timeline;
  const strikes = new Uint16Array(2048);
  const troubles = { count: 0, neverReleased: 0, struckTwice: 0, withoutLength: 0, releasedWithoutNote: 0 };
  for (let row = 0; row < columns.count; row += 1) {
    const note = (columns.status[row]! & 0x0f) * 128 + columns.data1[row]!;
    const partner = columns.partner[row]!;
    if (isNoteOn(columns, row)) {
      troubles.count += 1;
      if (strikes[note]! > 0) troubles.struckTwice += 1;
      strikes[note]! += 1;
      if (partner === NO_PARTNER) troubles.neverReleased += 1;
      else if (columns.micros[partner] === columns.micros[row]) troubles.withoutLength += 1;
    } else if (isNoteOff(columns, row)) {
      if (partner === NO_PARTNER) troubles.releasedWithoutNote += 1;
      if (strikes[note]! > 0) strikes[note]! -= 1;
    }
  }
  return { ...troubles, pedalsLeftDown: pedalsLeftDown.map((channel) => channel + 1) };
}

function problemsOf(
  wire: WireVerdict,
  crowded: readonly SeatVerdict[],
  facts: SongFacts,
  notes: NoteTroubles,
  findings: readonly { readonly severity: string; readonly text: string }[],
  lacks: readonly InstrumentFinding[],
): CheckProblem[] {
  const problems: CheckProblem[] = [];
  if (!wire.asItIs) {
    const { packed } = wire.check;
    const late = (packed.worstOnsetDistanceMicros / 1000).toFixed(1);
    const { bar, beat } = packed.worstAt;
    problems.push({
      code: 'wire-late',
      text: `A note at bar ${bar}, beat ${beat} is ${late} ms from its moment on the wire, and over 20 ms is heard.`,
    });
  }
  for (const { seat, polyphony } of crowded) {
    const { check: voices } = polyphony;
    const { bar, beat } = voices.at;
    const where = seat === undefined ? '' : `${seatWords(seat)}: `;
    problems.push({
      code: 'voices',
      text: `${where}${counted(voices.most, 'key')} sound at once at bar ${bar}, beat ${beat}; the module has ${counted(voices.voices, 'voice')}, and too few for ${voices.overSeconds.toFixed(1)} s in all.`,
    });
  }
  for (const { code, text } of lacks) problems.push({ code, text });
  if (facts.ports.length > 1) {
    problems.push({
      code: 'ports',
      text: `The parts ask for ${facts.ports.length} ports (${facts.ports.join(', ')}): more than sixteen channels, and one wire has sixteen; --song-port ${facts.ports[0]} takes those of one.`,
    });
  }
  for (const { severity, text } of findings)
    if (severity === 'problem') problems.push({ code: 'finding', text });
  for (const channel of notes.pedalsLeftDown) {
    problems.push({
      code: 'pedal-left-down',
      text: `A pedal of channel ${channel} is still down at the end.`,
    });
  }
  return problems;
}

/** A song is made to fit an instrument by a command of its own, which writes it anew. */
function fitChange(settings: CheckOptions, file: string): CheckChange {
  const forWhom = settings.seats.length > 1 ? 'these instruments' : 'this instrument';
  const text = `wirepit fit writes the song anew for ${forWhom}; check that one again`;
  return { flags: fitFlags(settings, file), text };
}

function fitFlags(settings: CheckOptions, file: string): string[] {
  return [...instrumentFlags(settings), ...portFlags(settings), '--out', fittedName(file)];
}

function instrumentFlags({ instrumentName, map }: CheckOptions): string[] {
  return [
    ...(instrumentName === undefined ? [] : ['--instrument', instrumentName]),
    ...(map === undefined ? [] : ['--map', map]),
  ];
}

function fittedName(file: string): string {
  return `${file.replace(/\.(mid|midi|kar|smf|rmi)$/i, '')}-fitted.mid`;
}

function portFlags({ songPort }: CheckOptions): string[] {
  return songPort === undefined ? [] : ['--song-port', String(songPort)];
}

/** The flags that were given to the check and that playing needs too. */
function askedFlags(options: CheckOptions): string[] {
  const flags = instrumentFlags(options);
  if (options.allowSysEx) flags.push('--allow-sysex');
  if (!options.setupFirst) flags.push('--no-setup-first');
  if (options.thin) flags.push('--thin', String(options.tolerance));
  if (options.settleMicros !== CHECK_DEFAULTS.settleMicros) {
    flags.push('--settle', String(options.settleMicros / 1000));
  }
  flags.push(...portFlags(options));
  if (options.earlyMicros > 0) flags.push('--early', String(options.earlyMicros / 1000));
  return flags;
}
