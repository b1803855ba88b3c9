import { classifySysEx } from '../midi/universal-sysex.ts';
import { replacedClass } from '../schedule/sysex-catalogue.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { Coverage } from './coverage.ts';
import { bytesOfSysEx, type HeardMusic, type HeardSysEx } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { likestSysEx, pairEqualSysEx, type SysExPairs } from './sysex-pairs.ts';
import { type SysExPlace, SysExPlaces } from './sysex-places.ts';
import type { WrittenMusic } from './written-music.ts';
import { needOf, type WrittenSysEx, writtenSysEx } from './written-sysex.ts';

export type SysExDifference =
  | { readonly kind: 'missing'; readonly written: WrittenSysEx }
  /** @property heard number of a heard SysEx */
  | { readonly kind: 'added'; readonly heard: number }
  | { readonly kind: 'changed'; readonly written: WrittenSysEx; readonly heard: number }
  /** So many notes began without it, or with it before their time. */
  | {
      readonly kind: 'early' | 'late';
      readonly written: WrittenSysEx;
      readonly heard: number;
      readonly notes: number;
    };

export interface SysExComparison {
  /** Written ones that matter to what sounds, and heard ones of any kind. */
  readonly written: number;
  readonly heard: number;
  /** In the song's order, and behind them what was added. */
  readonly differences: readonly SysExDifference[];
  /** Written ones that did not come and need not: a player may hold makers' own back, or leave out what holds already. */
  readonly leftOut: number;
  /** Before the first note, and not heard: the recording may have begun behind them. */
  readonly unheard: number;
}

export const NO_SYSEX_COMPARED: SysExComparison = {
  written: 0,
  heard: 0,
  differences: [],
  leftOut: 0,
  unheard: 0,
};

/** Whoever listens so long before something is due was there when it came. */
const THERE_BEFORE_MICROS = 500_000;
/** Where notes are missing or added some are taken for others: fewer that pass a SysEx say nothing then. */
const LEAST_PASSED = 3;

/**
 * SysEx that matter to what sounds: whether each came as written, between the same notes. Nobody who plays soundly is to be
 * accused: who begins in mid-song owes nothing from before, who holds makers' own messages back owes none of them, and whoever
 * begins may set his instrument up as he likes before the first note.
 */
export function sysExDifferences(
  timeline: Timeline,
  written: WrittenMusic,
  heard: HeardMusic,
  { matching, line }: MatchedMusic,
  { setFromMicros }: Coverage,
  isEveryNoteThere: boolean,
): SysExComparison {
  const ours = writtenSysEx(timeline);
  const { sysEx } = heard;
  if (ours.length === 0 && sysEx.count === 0) return NO_SYSEX_COMPARED;
  const notes = new SysExPlaces(written, heard, matching);
  const places = ours.map((one) => notes.placeOf(one));
  const pairs = pairEqualSysEx(ours, places, sysEx);
  const isOwed = owedOf(ours, pairs);
  const changed = changedOf(ours, places, sysEx, pairs, isOwed);
  const least = isEveryNoteThere ? 1 : LEAST_PASSED;
  const differences: SysExDifference[] = [];
  const holds = new Map<string, string>();
  let leftOut = 0;
  let unheard = 0;
  let isBegun = false;
  for (const [n, one] of ours.entries()) {
    const { part, after, before } = places[n]!;
    const found = pairs.heardOf[n]!;
    if (found >= 0) {
      isBegun = true;
      hold(holds, one.bytes, one.what.reset);
      const message = sysEx.message[found]!;
      const side = message > before ? 1 : message < after ? -1 : 0;
      if (side === 0 || part === 'outside' || one.need === 'none') continue;
      const passed = notes.passed(one, message, side);
      if (passed >= least)
        differences.push({ kind: side > 0 ? 'late' : 'early', written: one, heard: found, notes: passed });
      continue;
    }
    if (one.need === 'none' || part === 'outside') continue;
    const other = changed.get(n);
    if (other !== undefined) {
      isBegun = true;
      differences.push({ kind: 'changed', written: one, heard: other });
    } else if (!isOwed(one) || isHeldAlready(holds, one.bytes)) {
      leftOut += 1;
      continue;
    } else if (one.micros < setFromMicros) unheard += 1;
    else if (part === 'within' || isBegun || isListenedTo(notes.expectedMicros(one, line.rate), heard)) {
      differences.push({ kind: 'missing', written: one });
    } else unheard += 1;
    holds.delete(classOf(one.bytes));
  }
  const isTaken = new Set(changed.values());
  for (const added of addedIn(sysEx, notes.span, (n) => pairs.writtenOf[n]! >= 0 || isTaken.has(n)))
    differences.push({ kind: 'added', heard: added });
  return {
    written: ours.filter(({ need }) => need !== 'none').length,
    heard: sysEx.count,
    differences,
    leftOut,
    unheard,
  };
}

function isListenedTo(expectedMicros: number, { hasTimes }: HeardMusic): boolean {
  return hasTimes && expectedMicros > THERE_BEFORE_MICROS;
}

/** Those that came as another one, by their number, with what they came as. */
function changedOf(
  ours: readonly WrittenSysEx[],
  places: readonly SysExPlace[],
  heard: HeardSysEx,
  { heardOf, writtenOf }: SysExPairs,
  isOwed: (one: WrittenSysEx) => boolean,
): Map<number, number> {
  const changed = new Map<number, number>();
  const taken = new Set<number>();
  // A message that says something else is not this one changed.
  const isOpen = (n: number) => {
    const what = classifySysEx(bytesOfSysEx(heard, n));
    return writtenOf[n]! < 0 && !taken.has(n) && (what.held || needOf(what) === 'must');
  };
  for (const [n, one] of ours.entries()) {
    if (heardOf[n]! >= 0 || places[n]!.part === 'outside' || one.need === 'none' || !isOwed(one)) continue;
    const other = likestSysEx(one, places[n]!, heard, isOpen);
    if (other < 0) continue;
    changed.set(n, other);
    taken.add(other);
  }
  return changed;
}

/**
 * What must come is owed. Of a maker's messages, and of one kind of dump, those are of which two that are not alike came, and
 * one no shorter: who sends these sends that as well.
 */
function owedOf(ours: readonly WrittenSysEx[], { heardOf }: SysExPairs): (one: WrittenSysEx) => boolean {
  const came = new Map<string, { readonly contents: Set<string>; longest: number }>();
  for (const [n, { need, bytes }] of ours.entries()) {
    if (need !== 'may' || heardOf[n]! < 0) continue;
    const maker = makerOf(bytes);
    const known = came.get(maker) ?? { contents: new Set(), longest: 0 };
    known.contents.add(textOf(bytes));
    known.longest = Math.max(known.longest, bytes.length);
    came.set(maker, known);
  }
  return ({ need, bytes }) => {
    if (need === 'must') return true;
    const known = came.get(makerOf(bytes));
    return known !== undefined && known.contents.size > 1 && known.longest >= bytes.length;
  };
}

/** A maker's id has one byte, or three of which the first is 0 (MIDI 1.0, p. 34); a dump is known by its sub-id. */
function makerOf(bytes: Uint8Array): string {
  if (bytes[0] === 0x7e) return `${bytes[0]} ${bytes[2]}`;
  return bytes.subarray(0, bytes[0] === 0 ? 3 : 1).join();
}

/** Those in the midst of the song that nobody wrote, and that change what holds. Of makers' own nobody knows whether they do. */
function addedIn(
  heard: HeardSysEx,
  { from, to }: { readonly from: number; readonly to: number },
  isWritten: (n: number) => boolean,
): number[] {
  const added: number[] = [];
  const holds = new Map<string, string>();
  for (let n = 0; n < heard.count; n += 1) {
    const bytes = bytesOfSysEx(heard, n);
    const what = classifySysEx(bytes);
    if (what.held || needOf(what) === 'none' || heard.cut[n] === 1) continue;
    const isMidst = heard.message[n]! > from && heard.message[n]! < to;
    if (isMidst && !isWritten(n) && holds.get(classOf(bytes)) !== textOf(bytes)) added.push(n);
    hold(holds, bytes, what.reset);
  }
  return added;
}

/** Takes note of what a SysEx leaves in force. */
function hold(holds: Map<string, string>, bytes: Uint8Array, isReset: boolean): void {
  if (isReset) holds.clear();
  else holds.set(classOf(bytes), textOf(bytes));
}

/** Only of what is known to replace its like: a parameter may have had another value since. */
function isHeldAlready(holds: ReadonlyMap<string, string>, bytes: Uint8Array): boolean {
  const replaced = replacedClass(bytes);
  return replaced !== undefined && holds.get(replaced) === textOf(bytes);
}

const textOf = (bytes: Uint8Array): string => bytes.join();
const classOf = (bytes: Uint8Array): string => replacedClass(bytes) ?? textOf(bytes);
