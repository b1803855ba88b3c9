import { GM_PROGRAMS } from './general-midi.ts';
import { GENERAL_MIDI } from './general-midi-instrument.ts';
import type { Bank, Drums, Instrument, KeyRange, Pauses, Program } from './instrument.ts';
import { overlappingBanks } from './overlapping-banks.ts';
import type { Profile, ProfileComplaint } from './profile.ts';
import type { BankTable, DrumsTable, PausesTable, ProfileDocument } from './profile-document.ts';

type Path = readonly (string | number)[];

/**
 * A profile's document → the instrument it describes, General MIDI Level 1 where nothing is said; or what is wrong
 * with it. Single values are within their bounds already (the schema sees to that); here is what concerns several.
 */
export function profileFromDocument(document: ProfileDocument): Profile | readonly ProfileComplaint[] {
  const complaints: ProfileComplaint[] = [];
  const complain = (path: Path, what: string, nextStep: string): void => {
    complaints.push({ path, what, nextStep });
  };
  const table = document.instrument ?? {};
  const standard = GENERAL_MIDI;
  const channels = table.channels === undefined ? standard.channels : channelsOf(table.channels);
  const countFrom = table['count-from'] ?? 1;
  const voicesEach = table['voices-each'] ?? 1;
  const voices = table.voices ?? standard.voices;
  const banks = (document.bank ?? []).map((bank, at) =>
    bankOf(bank, at, bank['count-from'] ?? countFrom, voicesEach, complain),
  );
  const clash = overlappingBanks(banks);
  if (clash !== undefined) complain(['bank', clash.at], clash.what, clash.nextStep);
  if (voicesEach > voices) {
    complain(
      ['instrument', 'voices-each'],
      `a sound takes ${voicesEach} of ${voices} voices`,
      'lower it, or raise voices',
    );
  }
  const keys = rangeOf(table.keys, ['instrument', 'keys'], complain) ?? standard.keys;
  const instrument: Instrument = {
    name: table.name ?? 'an instrument without a name',
    voices,
    parts: table.parts ?? Math.min(standard.parts, channels.length),
    channels,
    keys,
    full: table.full ?? standard.full,
    releaseMicros: (table['release-ms'] ?? 0) * 1000,
    bendRangeSemitones: table['bend-range'] ?? standard.bendRangeSemitones,
    controllers: table.controllers === undefined ? undefined : new Set(table.controllers),
    registeredParameters: table.rpn === undefined ? undefined : new Set(table.rpn.map(parameterOf)),
    resets: table.resets === undefined ? standard.resets : new Set(table.resets),
    pauses: pausesOf(table.pauses),
    runningStatus: table['running-status'] ?? standard.runningStatus,
    banks:
      banks.length > 0
        ? banks
        : standard.banks.map((bank) => ({ ...bank, programs: takingEach(bank.programs, voicesEach) })),
    drums: drumsOf(document.drums, channels, countFrom, complain),
    quirks: table.quirks ?? [],
  };
  return complaints.length > 0 ? complaints : { instrument, said: saidIn(document), remarks: [] };
}

function channelsOf(channels: readonly number[]): number[] {
  return [...new Set(channels)].map((channel) => channel - 1).sort((a, b) => a - b);
}

function rangeOf(
  pair: readonly number[] | undefined,
  path: Path,
  complain: (path: Path, what: string, nextStep: string) => void,
): KeyRange | undefined {
  if (pair === undefined) return undefined;
  const [low = 0, high = 127] = pair;
  if (low > high)
    complain(path, `the range ends (${high}) below its beginning (${low})`, 'write [lowest, highest]');
  return { low, high };
}

function bankOf(
  table: BankTable,
  at: number,
  countFrom: number,
  voicesEach: number,
  complain: (path: Path, what: string, nextStep: string) => void,
): Bank {
  const programs = new Map<number, Program>();
  const add = (program: Program, path: Path): void => {
    if (program.number < 0 || program.number > 127) {
      const last = countFrom + 127;
      complain(
        path,
        `there is no program ${program.number + countFrom}`,
        `count from ${countFrom} to ${last}, or set count-from`,
      );
    } else if (programs.has(program.number)) {
      complain(path, `program ${program.number + countFrom} is there twice`, 'leave one of them out');
    } else programs.set(program.number, program);
  };
  const standard = { keys: undefined, voicesEach };
  if (table['general-midi']) {
    for (const [number, name] of GM_PROGRAMS.entries())
      programs.set(number, { ...standard, number, name, like: number });
  }
  for (const [index, name] of (table.programs ?? []).entries()) {
    if (name !== '') add({ ...standard, number: index, name, like: undefined }, ['bank', at, 'programs']);
  }
  for (const [index, program] of (table.program ?? []).entries()) {
    const path = ['bank', at, 'program', index];
    const number = program.number - countFrom;
    add(
      {
        number,
        name: program.name ?? `Program ${program.number}`,
        like: program.like === undefined ? undefined : program.like - 1,
        keys: rangeOf(program.keys, [...path, 'keys'], complain),
        voicesEach: program['voices-each'] ?? voicesEach,
      },
      path,
    );
  }
  if (programs.size === 0) {
    complain(
      ['bank', at],
      'the bank has no programs',
      'add programs = ["…"], [[bank.program]] or general-midi = true',
    );
  }
  return {
    name: table.name ?? `Bank ${at + 1}`,
    msb: table.msb,
    lsb: table.lsb,
    programs: [...programs.values()].sort((a, b) => a.number - b.number),
  };
}

function drumsOf(
  table: DrumsTable | undefined,
  heard: readonly number[],
  countFrom: number,
  complain: (path: Path, what: string, nextStep: string) => void,
): Drums {
  const standard = GENERAL_MIDI.drums;
  const asked = table?.channels?.map((channel) => channel - 1);
  const deaf = asked?.find((channel) => !heard.includes(channel));
  if (deaf !== undefined) {
    complain(
      ['drums', 'channels'],
      `drums on channel ${deaf + 1}, which it does not hear`,
      'add it to channels',
    );
  }
  const kits = Object.entries(table?.kits ?? {}).map(
    ([number, name]) => [Number(number) - countFrom, name] as const,
  );
  const odd = kits.find(([number]) => number < 0 || number > 127);
  if (odd !== undefined) {
    complain(
      ['drums', 'kits', String(odd[0] + countFrom)],
      'there is no program of this number',
      `count from ${countFrom}`,
    );
  }
  return {
    channels: asked ?? standard.channels.filter((channel) => heard.includes(channel)),
    keys:
      table?.keys === undefined
        ? standard.keys
        : new Map(Object.entries(table.keys).map(([key, name]) => [Number(key), name])),
    kits: new Map(kits),
  };
}

function pausesOf(table: PausesTable | undefined): Pauses {
  const micros = (ms: number | undefined, standard: number) =>
    ms === undefined ? standard : Math.round(ms * 1000);
  const standard = GENERAL_MIDI.pauses;
  return {
    afterResetMicros: micros(table?.['after-reset-ms'], standard.afterResetMicros),
    afterProgramMicros: micros(table?.['after-program-ms'], standard.afterProgramMicros),
    afterSysExMicros: micros(table?.['after-sysex-ms'], standard.afterSysExMicros),
    betweenBytesMicros: micros(table?.['between-bytes-ms'], standard.betweenBytesMicros),
  };
}

/** `0/1` → 1: `msb << 7 | lsb`. */
function parameterOf(text: string): number {
  const [msb, lsb] = text.split('/').map(Number);
  return (msb! << 7) | lsb!;
}

const takingEach = (programs: readonly Program[], voicesEach: number): readonly Program[] =>
  voicesEach === 1 ? programs : programs.map((program) => ({ ...program, voicesEach }));

function saidIn({ instrument = {}, bank, drums = {} }: ProfileDocument): Set<string> {
  const { pauses = {}, ...fields } = instrument;
  const keysOf = (table: object, prefix = '') =>
    Object.entries(table).flatMap(([key, value]) => (value === undefined ? [] : [`${prefix}${key}`]));
  const said = [...keysOf(fields), ...keysOf(pauses, 'pauses.'), ...keysOf(drums, 'drums.')];
  return new Set(bank === undefined ? said : [...said, 'bank']);
}
