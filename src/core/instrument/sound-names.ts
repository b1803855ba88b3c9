import { keyName } from '../midi/key-names.ts';
import { findProgram } from './find-program.ts';
import { DRUM_CHANNEL, drumSetName, programName } from './general-midi.ts';
import type { Instrument } from './instrument.ts';
import { knowsRhythmBank, RHYTHM_BANK, SECOND_DRUM_CHANNEL } from './song-drums.ts';

/** True for a channel on which the instrument plays drums. */
export function isDrumChannel(instrument: Instrument, channel: number): boolean {
  return instrument.drums.channels.includes(channel);
}

/** What a key plays: its pitch, or on a drum channel the sound, where it has a name. */
export function soundName(instrument: Instrument, channel: number, key: number): string {
  return (isDrumChannel(instrument, channel) ? instrument.drums.keys.get(key) : undefined) ?? keyName(key);
}

/**
 * What a program is called on the instrument; undefined where it has no such sound.
 * @param msb bank select in force, −1 for none; @param lsb likewise
 */
export function ownSoundName(
  instrument: Instrument,
  channel: number,
  msb: number,
  lsb: number,
  program: number,
): string | undefined {
  if (isDrumChannel(instrument, channel) || (isRhythm(channel, msb) && knowsRhythmBank(instrument))) {
    // Without kits a program change does nothing there, and what was wished for is as good a name as any.
    return instrument.drums.kits.size === 0 ? drumSetName(program) : instrument.drums.kits.get(program);
  }
  const found = findProgram(instrument, msb, lsb, program);
  return found.kind === 'found' ? found.program.name : undefined;
}

/**
 * What a song, written for General MIDI, means by a program: `Trumpet`, on channel 10 `Standard Drums`, and on
 * channel 11 under bank 120 (General MIDI 2).
 * @param msb bank select in force, −1 for none
 */
export function wishedSoundName(channel: number, program: number, msb = -1): string {
  return channel === DRUM_CHANNEL || isRhythm(channel, msb) ? drumSetName(program) : programName(program);
}

const isRhythm = (channel: number, msb: number): boolean =>
  channel === SECOND_DRUM_CHANNEL && msb === RHYTHM_BANK;

/**
 * The two together, where they differ: `Bell Pad (Trumpet)`; `no Trumpet` where there is none.
 * @param wished what the song wished for, where that is not what its program says; null: nobody knows
 */
export function lanesSoundName(
  instrument: Instrument,
  channel: number,
  msb: number,
  lsb: number,
  program: number,
  wished: string | null = wishedSoundName(channel, program, msb),
): string {
  const own = ownSoundName(instrument, channel, msb, lsb, program);
  if (own === undefined) return `no ${wished ?? wishedSoundName(channel, program, msb)}`;
  return wished === null || own === wished ? own : `${own} (${wished})`;
}
