import { hexText } from '../midi/hex-text.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { placeOfHeard } from './bar-differences.ts';
import type { MusicComparison } from './compare-music.ts';
import { bytesOfSysEx } from './heard-music.ts';
import { MOST_LINES } from './most-lines.ts';
import type { SysExDifference } from './sysex-differences.ts';
import { changeIn } from './sysex-pairs.ts';

/** SysEx in `compare --json`. */
export interface SysExDocument {
  /** Written ones that matter to what sounds; heard ones of any kind. */
  readonly song: number;
  readonly heard: number;
  readonly missing: number;
  readonly added: number;
  readonly changed: number;
  readonly early: number;
  readonly late: number;
  /** Did not come, and need not: makers' own that the player holds back, and what was in force already. */
  readonly leftOut: number;
  /** Written before the first note and not heard: the recording may have begun behind them. */
  readonly unheard: number;
  /** The first hundred. */
  readonly differences: readonly SysExLine[];
}

export interface SysExLine {
  readonly kind: SysExDifference['kind'];
  readonly name: string;
  readonly bar: number;
  readonly beat: number;
  /** Song time; of what was added the recording's. */
  readonly seconds: number;
  /** Of what came early or late: so many notes began with it before their time, or without it. */
  readonly notes: number | null;
  /** Of what was changed: the first byte that is another one (F0 is byte 1), and from there on what is written and what came. */
  readonly byte: number | null;
  readonly written: string | null;
  readonly heard: string | null;
}

export const NO_SYSEX: SysExDocument = {
  song: 0,
  heard: 0,
  missing: 0,
  added: 0,
  changed: 0,
  early: 0,
  late: 0,
  leftOut: 0,
  unheard: 0,
  differences: [],
};

/** Of a stretch of bytes so many are written out. */
const MOST_BYTES = 16;
/** Byte number of what follows F0. */
const FIRST_BYTE = 2;

export function sysExDocument(timeline: Timeline, comparison: MusicComparison): SysExDocument {
  const { written, heard, differences, leftOut, unheard } = comparison.sysEx;
  const count = (kind: SysExDifference['kind']) => differences.filter((one) => one.kind === kind).length;
  return {
    song: written,
    heard,
    missing: count('missing'),
    added: count('added'),
    changed: count('changed'),
    early: count('early'),
    late: count('late'),
    leftOut,
    unheard,
    differences: differences.slice(0, MOST_LINES).map((one) => lineOf(timeline, comparison, one)),
  };
}

function lineOf(timeline: Timeline, comparison: MusicComparison, one: SysExDifference): SysExLine {
  const { sysEx } = comparison.heard;
  if (one.kind === 'added') {
    const bytes = bytesOfSysEx(sysEx, one.heard);
    const micros = sysEx.micros[one.heard]!;
    const { name } = classifySysEx(bytes);
    const { bar, beat } = placeOfHeard(timeline, comparison, micros);
    const place = { bar, beat, seconds: micros / 1e6 };
    return { kind: 'added', name, ...place, notes: null, byte: null, written: null, heard: whole(bytes) };
  }
  const { tick, micros, what, bytes } = one.written;
  const { bar, beat } = timeline.meterMap.barBeatAt(tick);
  const line = { kind: one.kind, name: what.name, bar, beat, seconds: micros / 1e6, notes: null, byte: null };
  if (one.kind === 'missing') return { ...line, written: whole(bytes), heard: null };
  const theirs = bytesOfSysEx(sysEx, one.heard);
  if (one.kind !== 'changed')
    return { ...line, notes: one.notes, written: whole(bytes), heard: whole(theirs) };
  const { from, oursTo, theirsTo } = changeIn(bytes, theirs);
  return {
    ...line,
    byte: from + FIRST_BYTE,
    written: hexOf(bytes.subarray(from, oursTo)),
    heard: hexOf(theirs.subarray(from, theirsTo)),
  };
}

function whole(bytes: Uint8Array): string {
  return `F0 ${hexOf(bytes)} F7`;
}

/** `40 7F`; '' of none; a long one ends in dots. */
function hexOf(bytes: Uint8Array): string {
  const text = hexText(bytes.subarray(0, MOST_BYTES));
  return bytes.length > MOST_BYTES ? `${text} …` : text;
}
