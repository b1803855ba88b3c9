import type { Song } from '../smf/song.ts';
import { isNoteOff, isNoteOn } from '../timeline/note-row.ts';
import { NO_PARTNER, type Timeline } from '../timeline/timeline.ts';
import { channelCensusOf } from './channel-census.ts';
import { CHECK_DEFAULTS, type CheckOptions } from './check-options.ts';
import { counted } from './figure-text.ts';
import { instrumentCheckOf } from './instrument-check.ts';
import type { InstrumentFinding } from './instrument-finding.ts';
import { type Polyphony, polyphonyOf } from './polyphony.ts';
import {
  CHECK_SCHEMA,
  type CheckChange,
  type CheckProblem,
  type NoteTroubles,
  type SongCheck,
  type SongFacts,
} from './song-check.ts';
import { songFactsOf } from './song-facts.ts';
import { sysExCheckOf } from './sysex-check.ts';
import { voiceChangesOf } from './voice-changes.ts';
import { type WireVerdict, wireCheckOf } from './wire-check.ts';

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
  const { instrument, instrumentName } = settings;
  const voices = settings.voices ?? instrument.voices;
  const polyphony = polyphonyOf(timeline, instrument, settings.curvePoints, voices);
  const channels = channelCensusOf(timeline, polyphony.mostOnChannel, instrument);
  const lacks = instrumentCheckOf(timeline, instrument, polyphony);
  const fits = instrumentName === undefined || lacks.length === 0;
  const wire = wireCheckOf(timeline, settings);
  const findings = [...song.findings, ...timeline.findings];
  const notes = noteTroublesOf(timeline, polyphony.pedalsLeftDown);

  const notesOnChannel = new Array<number>(16).fill(0);
  for (const { channel, notes: count } of channels) notesOnChannel[channel - 1] = count;
  const tooManyVoices = instrumentName === undefined && polyphony.check.most > voices;
  const voiceChanges = tooManyVoices ? voiceChangesOf(timeline, voices, notesOnChannel) : [];
  const hasPorts = facts.ports.length > 1;

  const problems = problemsOf(wire, polyphony, facts, notes, findings, fits ? [] : lacks);
  const mended = wire.withChanges && !hasPorts && (!tooManyVoices || voiceChanges.length > 0);
  const changes = [...wire.changes, ...voiceChanges, ...(fits ? [] : [fitChange(instrumentName, file)])];
  const asItIs = wire.asItIs && !hasPorts && !tooManyVoices && fits;
  return {
    schema: CHECK_SCHEMA,
    file,
    verdict: asItIs ? 'fits' : mended ? 'fits-with-changes' : 'does-not-fit',
    problems,
    changes,
    command: fits
      ? ['play', ...askedFlags(settings), ...changes.flatMap(({ flags }) => flags), file]
      : ['fit', '--instrument', instrumentName, ...portFlags(settings), '--out', fittedName(file), file],
    song: facts,
    notes,
    channels,
    polyphony: polyphony.check,
    instrument: {
      name: instrument.name,
      given: instrumentName !== undefined,
      parts: instrument.parts,
      releaseMs: instrument.releaseMicros / 1000,
      findings: lacks,
    },
    sysEx: sysExCheckOf(timeline.columns),
    wire: wire.check,
    findings: findings.map(({ code, severity, offset, text }) => ({ code, severity, offset, text })),
  };
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
  { check: voices }: Polyphony,
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
  if (lacks.length === 0 && voices.most > voices.voices) {
    const { bar, beat } = voices.at;
    problems.push({
      code: 'voices',
      text: `${counted(voices.most, 'key')} sound at once at bar ${bar}, beat ${beat}; the module has ${counted(voices.voices, 'voice')}, and too few for ${voices.overSeconds.toFixed(1)} s in all.`,
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
function fitChange(instrumentName: string, file: string): CheckChange {
  const flags = ['--instrument', instrumentName, '--out', fittedName(file)];
  return { flags, text: 'wirepit fit writes the song anew for this instrument; check that one again' };
}

function fittedName(file: string): string {
  return `${file.replace(/\.(mid|midi|kar|smf|rmi)$/i, '')}-fitted.mid`;
}

/** The flags that were given to the check and that playing needs too. */
function portFlags({ songPort }: CheckOptions): string[] {
  return songPort === undefined ? [] : ['--song-port', String(songPort)];
}

function askedFlags(options: CheckOptions): string[] {
  const flags: string[] = [];
  if (options.instrumentName !== undefined) flags.push('--instrument', options.instrumentName);
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
