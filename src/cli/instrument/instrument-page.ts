import { programName } from '../../core/instrument/general-midi.ts';
import { GENERAL_MIDI_2 } from '../../core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import type { Bank, Instrument } from '../../core/instrument/instrument.ts';
import type { Profile } from '../../core/instrument/profile.ts';
import { keyName } from '../../core/midi/key-names.ts';

const FULL: Readonly<Record<Instrument['full'], string>> = {
  oldest: 'the oldest note is cut',
  released: 'a note that was let go is cut first',
  newest: 'the newest note is left out',
};

const ms = (micros: number): string => (micros === 0 ? 'none' : `${micros / 1000} ms`);

/** Field of a profile → what the page says of it. */
const ROWS: readonly (readonly [field: string, label: string, words: (instrument: Instrument) => string])[] =
  [
    ['voices', 'voices', ({ voices }) => String(voices)],
    ['parts', 'parts', ({ parts }) => (parts === 1 ? '1' : `${parts} different programs at once`)],
    ['channels', 'channels', ({ channels }) => listed(channels.map((channel) => channel + 1))],
    ['keys', 'keys', ({ keys: { low, high } }) => `${low} to ${high} (${keyName(low)} to ${keyName(high)})`],
    ['full', 'when full', ({ full }) => FULL[full]],
    ['release-ms', 'release', ({ releaseMicros }) => ms(releaseMicros)],
    ['bend-range', 'bend range', ({ bendRangeSemitones }) => `${bendRangeSemitones} semitones`],
    [
      'controllers',
      'controllers',
      ({ controllers }) => (controllers === undefined ? 'all' : listed(controllers)),
    ],
    ['rpn', 'parameters', ({ registeredParameters }) => parametersOf(registeredParameters)],
    ['resets', 'resets', ({ resets }) => listed(resets)],
    [
      'running-status',
      'running status',
      ({ runningStatus }) => (runningStatus ? 'understood' : 'not understood: each message is sent whole'),
    ],
    ['pauses.after-reset-ms', 'after a reset', ({ pauses }) => ms(pauses.afterResetMicros)],
    ['pauses.after-program-ms', 'after a program', ({ pauses }) => ms(pauses.afterProgramMicros)],
    ['pauses.after-sysex-ms', 'after a SysEx', ({ pauses }) => ms(pauses.afterSysExMicros)],
    ['pauses.between-bytes-ms', 'between bytes', ({ pauses }) => ms(pauses.betweenBytesMicros)],
    ['drums.channels', 'drums on', ({ drums }) => listed(drums.channels.map((channel) => channel + 1))],
  ];

/**
 * An instrument as a page to be checked against its manual: `*` marks what its description leaves unsaid and General
 * MIDI stands in for. Programs are counted from 1; on the wire they are one less.
 */
export function instrumentPage(profile: Profile): string[] {
  const { instrument, said, remarks } = profile;
  const mark = (field: string) => (isBuiltIn(instrument) || said.has(field) ? ' ' : '*');
  const lines = [instrument.name, ''];
  for (const [field, label, words] of ROWS)
    lines.push(`${mark(field)} ${label.padEnd(16)} ${words(instrument)}`);
  for (const bank of instrument.banks)
    lines.push('', `${mark('bank')} ${headOf(bank)}`, ...programLines(bank));
  const { drums, quirks } = instrument;
  if (drums.channels.length > 0) {
    lines.push('', `${mark('drums.keys')} Drum keys`);
    for (const [key, name] of drums.keys) lines.push(`    ${String(key).padStart(3)}  ${name}`);
    if (drums.kits.size > 0) lines.push('', `${mark('drums.kits')} Drum kits`);
    for (const [kit, name] of drums.kits) lines.push(`    ${String(kit + 1).padStart(3)}  ${name}`);
  }
  if (quirks.length > 0) lines.push('', 'To know', ...quirks.map((quirk) => `    ${quirk}`));
  const unsaid = unsaidIn(profile);
  if (unsaid.length > 0) {
    lines.push('', '* left unsaid, and taken as General MIDI has it:', ...wrapped(unsaid.join(', ')));
  }
  if (remarks.length > 0) lines.push('', 'What else was found', ...remarks.map((remark) => `    ${remark}`));
  return lines;
}

/** Fields that a description does not say, as a profile in TOML calls them; none for what is built in. */
export function unsaidIn({ said, instrument }: Profile): string[] {
  if (isBuiltIn(instrument)) return [];
  const hasDrums = instrument.drums.channels.length > 0;
  const fields = ['name', ...ROWS.map(([field]) => field), 'bank'];
  return [...fields, ...(hasDrums ? ['drums.keys', 'drums.kits'] : [])].filter((field) => !said.has(field));
}

/** What is built in follows a standard, and leaves nothing unsaid that could be looked up. */
const isBuiltIn = (instrument: Instrument): boolean =>
  instrument === GENERAL_MIDI || instrument === GENERAL_MIDI_2;

function headOf({ name, msb, lsb, programs }: Bank): string {
  const selects = [
    ...(msb === undefined ? [] : [`CC 0 = ${msb}`]),
    ...(lsb === undefined ? [] : [`CC 32 = ${lsb}`]),
  ];
  const how = selects.length === 0 ? 'no bank select' : selects.join(', ');
  return `Bank "${name}": ${how}; ${programs.length} ${programs.length === 1 ? 'program' : 'programs'}`;
}

function programLines({ programs }: Bank): string[] {
  return programs.map(({ number, name, like, keys, voicesEach }) => {
    const more = [
      like === undefined || programName(like) === name ? '' : `like ${like + 1} ${programName(like)}`,
      keys === undefined ? '' : `keys ${keys.low}-${keys.high}`,
      voicesEach > 1 ? `${voicesEach} voices` : '',
    ].filter((part) => part !== '');
    return `    ${String(number + 1).padStart(3)}  ${name}${more.length > 0 ? `  (${more.join(', ')})` : ''}`;
  });
}

const parametersOf = (all: ReadonlySet<number> | undefined): string =>
  all === undefined ? 'all' : listed([...all].map((each) => `${each >> 7}/${each & 127}`));

function listed(things: Iterable<string | number>): string {
  return [...things].join(' ') || 'none';
}

/** Lines of four spaces and at most 76 letters, broken at spaces. */
function wrapped(text: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + word.length < 76) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(`    ${word}`);
  }
  return lines;
}
