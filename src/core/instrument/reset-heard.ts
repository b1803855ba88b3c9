import { Cc } from '../midi/controllers.ts';
import { classifySysEx, type SysExKind } from '../midi/universal-sysex.ts';
import { PayloadKind } from '../timeline/payload-kind.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import type { Instrument, ResetKind } from './instrument.ts';

/** The General MIDI messages that put an instrument back to its beginnings. */
export type SystemReset = Extract<SysExKind, 'gm-on' | 'gm-off' | 'gm2-on'>;

/** Second sub-id behind F0 7E dd 09 (MIDI 1.0, Table VIIa; GM2 On: RP-024). */
export const SYSTEM_RESET_SUB_ID: Readonly<Record<SystemReset, number>> = {
  'gm-on': 0x01,
  'gm-off': 0x02,
  'gm2-on': 0x03,
};

/** General MIDI 1 and 2 System On both begin with a bend range of two semitones; System Off leaves it open (GM1, RP-024). */
export const BEND_RANGE_AFTER_RESET = 2;

const MODE_RESETS: ReadonlyMap<number, ResetKind> = new Map([
  [Cc.allSoundOff, 'all-sound-off'],
  [Cc.resetAllControllers, 'reset-all-controllers'],
  [Cc.allNotesOff, 'all-notes-off'],
]);

/** Each with the reset that stands in for it; General MIDI is left by one message, whatever its level. */
const OTHER: Readonly<Record<SystemReset, { readonly own: ResetKind; readonly other: SystemReset }>> = {
  'gm-on': { own: 'gm1', other: 'gm2-on' },
  'gm2-on': { own: 'gm2', other: 'gm-on' },
  'gm-off': { own: 'gm1', other: 'gm-off' },
};

/** What a reset is, in a mode message; undefined for any other controller. */
export function modeReset(controller: number): ResetKind | undefined {
  return MODE_RESETS.get(controller);
}

/** The General MIDI reset that a row is, where it is a whole one; a broken one is not sent. */
export function systemResetAt(columns: TimelineColumns, row: number): SystemReset | undefined {
  const { status, payload, payloadStart, payloadLength, payloadBytes, payloadKind } = columns;
  const at = payload[row]!;
  if (status[row] !== 0xf0 || payloadKind[at] !== PayloadKind.reset) return undefined;
  const { kind } = classifySysEx(payloadBytes, payloadStart[at]!, payloadLength[at]!);
  return isSystemReset(kind) ? kind : undefined;
}

function isSystemReset(kind: SysExKind): kind is SystemReset {
  return kind in OTHER;
}

/**
 * What an instrument is to be sent where a song sends this reset: the same where it follows it, the one it follows in
 * its place, or undefined where it follows none.
 */
export function resetHeard(reset: SystemReset, resets: ReadonlySet<ResetKind>): SystemReset | undefined {
  const { own, other } = OTHER[reset];
  if (resets.has(own)) return reset;
  return resets.has(own === 'gm1' ? 'gm2' : 'gm1') ? other : undefined;
}

/** Those that one of several instruments follows as they are: they are meant for that one, whatever the others do. */
export function resetsFollowed(instruments: readonly Pick<Instrument, 'resets'>[]): ReadonlySet<SystemReset> {
  const kinds = Object.keys(OTHER) as SystemReset[];
  return new Set(kinds.filter((kind) => instruments.some(({ resets }) => resetHeard(kind, resets) === kind)));
}
