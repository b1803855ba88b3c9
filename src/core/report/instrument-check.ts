import { DRUM_CHANNEL, percussionName } from '../instrument/general-midi.ts';
import type { Instrument, KeyRange } from '../instrument/instrument.ts';
import type { SystemReset } from '../instrument/reset-heard.ts';
import { RHYTHM_BANK, songDrumChannels } from '../instrument/song-drums.ts';
import { isDrumChannel, ownSoundName, wishedSoundName } from '../instrument/sound-names.ts';
import { keyName } from '../midi/key-names.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { ChannelPrograms } from './channel-programs.ts';
import { drumEvidence } from './drum-evidence.ts';
import { counted } from './figure-text.ts';
import { FindingTally } from './finding-tally.ts';
import type { InstrumentFinding } from './instrument-finding.ts';
import { PartsUsed } from './parts-used.ts';
import { type Polyphony, polyphonyOf } from './polyphony.ts';
import { UnheededMessages } from './unheeded-messages.ts';

/**
 * What a song asks of an instrument that it cannot do, each with its first place and how many notes it concerns.
 * @param othersResets system resets that are meant for another instrument, as they go to all
 */
export function instrumentCheckOf(
  timeline: Timeline,
  instrument: Instrument,
  polyphony: Polyphony,
  othersResets: ReadonlySet<SystemReset> = new Set(),
): InstrumentFinding[] {
  const { columns } = timeline;
  const tally = new FindingTally();
  const programs = new ChannelPrograms(columns, instrument);
  const parts = new PartsUsed(columns, instrument, programs);
  const songDrums = songDrumChannels(columns);
  const unheeded = new UnheededMessages(columns, instrument, tally, othersResets);
  const channels = Array.from({ length: 16 }, (_, channel) => channel);
  const heard = channels.map((channel) => instrument.channels.includes(channel));
  const drums = channels.map((channel) => isDrumChannel(instrument, channel));
  let notes = 0;
  for (let row = 0; row < columns.count; row += 1) {
    const channel = columns.status[row]! & 0x0f;
    programs.take(row);
    parts.take(row);
    unheeded.take(row);
    if (!isNoteOn(columns, row)) continue;
    notes += 1;
    const key = columns.data1[row]!;
    if (!heard[channel]) tally.add('channel-not-heard', channel, row, '');
    else if (drums[channel]) judgeStroke(row, channel, key);
    else judgeNote(row, channel, key);
  }
  for (const { row, notes: count } of parts.crowded()) {
    tally.add(
      'too-few-parts',
      -1,
      row,
      `(${parts.most} for ${instrument.parts}, for ${parts.overSeconds.toFixed(1)} s)`,
      count,
    );
  }
  for (const { channel, row, notes: count, why } of drumEvidence(timeline, [
    ...songDrums,
    ...instrument.drums.channels,
  ]))
    tally.add('looks-like-drums', channel, row, why, count);
  const findings = tally.findings(timeline, notes);
  const voices = voicesFinding(timeline, polyphony, instrument, notes);
  return voices === undefined ? findings : [...findings, voices];

  function judgeStroke(row: number, channel: number, key: number): void {
    if (!songDrums.includes(channel)) {
      // The song is written for General MIDI: whatever is on none of its drum channels is meant as a melody.
      if (programs.program[channel]! >= 0) tally.add('drums-for-melody', channel, row, '');
    }
    const program = programs.program[channel]!;
    const { keys, kits } = instrument.drums;
    if (program >= 0 && kits.size > 0 && !kits.has(program)) {
      tally.add('kit-not-there', channel, row, wishedSoundName(DRUM_CHANNEL, program));
    }
    if (!keys.has(key)) tally.add('drum-key-not-there', channel, row, percussionName(key) ?? `key ${key}`);
  }

  function judgeNote(row: number, channel: number, key: number): void {
    if (songDrums.includes(channel)) {
      tally.add('drums-elsewhere', channel, row, channel === DRUM_CHANNEL ? '' : `(bank ${RHYTHM_BANK})`);
      return;
    }
    const program = programs.program[channel]!;
    const found = programs.found[channel]!;
    if (program < 0) tally.add('no-program', channel, row, '');
    else if (found.kind === 'no-bank') {
      const [msb, lsb] = [Math.max(0, programs.msb[channel]!), Math.max(0, programs.lsb[channel]!)];
      tally.add('bank-not-there', channel, row, `${msb}/${lsb} (${wishedSoundName(channel, program)})`);
    } else if (found.kind === 'no-program') {
      tally.add(
        'program-not-there',
        channel,
        row,
        `program ${program + 1} (${wishedSoundName(channel, program)})`,
      );
    }
    const range = (found.kind === 'found' ? found.program.keys : undefined) ?? instrument.keys;
    if (!isWithin(key, range)) tally.add('key-out-of-range', channel, row, keyName(key));
  }
}

/** The instrument's own name for what a channel has, for the report. */
export function reportedSoundName(
  instrument: Instrument,
  channel: number,
  msb: number,
  lsb: number,
  program: number,
): string {
  return ownSoundName(instrument, channel, msb, lsb, program) ?? wishedSoundName(channel, program, msb);
}

const isWithin = (key: number, { low, high }: KeyRange): boolean => key >= low && key <= high;

const CUTS: Readonly<Record<Instrument['full'], string>> = {
  oldest: 'the oldest note is cut',
  released: 'a note that was let go is cut first',
  newest: 'the newest note is left out',
};

/** It takes what was let go first, and what is held has voices enough. */
function onlyTailsAreCut(timeline: Timeline, instrument: Instrument, voices: number): boolean {
  if (instrument.full !== 'released' || instrument.releaseMicros === 0) return false;
  return polyphonyOf(timeline, { ...instrument, releaseMicros: 0 }, 1, voices).check.most <= voices;
}

function voicesFinding(
  timeline: Timeline,
  { check, overNotes }: Polyphony,
  instrument: Instrument,
  notes: number,
): InstrumentFinding | undefined {
  if (check.most <= check.voices) return undefined;
  const share = notes > 0 ? overNotes / notes : 0;
  const { bar, beat } = check.at;
  const tail =
    instrument.releaseMicros > 0 ? `, each ${instrument.releaseMicros / 1000} ms longer than its key` : '';
  const isTails = onlyTailsAreCut(timeline, instrument, check.voices);
  return {
    code: isTails ? 'tails-cut' : 'too-few-voices',
    port: null,
    channels: [],
    at: check.at,
    count: overNotes,
    share,
    text: `${check.most} voices are wanted at bar ${bar}, beat ${beat}, pedals counted${tail}; there are ${check.voices}, too few for ${check.overSeconds.toFixed(1)} s: ${isTails ? 'only what dies away is cut' : CUTS[instrument.full]} (${counted(overNotes, 'note')}, ${(share * 100).toFixed(1)} %, ${overNotes === 1 ? 'comes' : 'come'} then).`,
  };
}
