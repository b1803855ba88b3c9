import { Cc } from '../midi/controllers.ts';
import { PEDALS } from '../midi/pedals.ts';
import { BEND_CENTRE, BEND_UNSET, UNSET } from './rest-values.ts';
import type { Sender } from './sender.ts';
import type { Sounding } from './sounding.ts';

const PEDALS_UP = 1;
const BEND_HOME = 2;
const NOTES_OFF = 4;
const SOUND_OFF = 8;
const WITHDRAW = 16;
/** Whoever plays along lets go too. */
const VISITOR = 32;

/** How far a silence goes. Note-offs for every sounding strike are always part of it. */
export const Silence = {
  /**
   * The loop's end: what waits for the wire is still played, what follows sets the bend, and every byte counts. Whoever
   * plays along on a channel of their own notices nothing.
   */
  turn: PEDALS_UP,
  /** Mute and solo: the same, and what nobody wants to hear any more is not struck. */
  brief: PEDALS_UP | WITHDRAW | VISITOR,
  /** The song's end: what waits for the wire is still played, and may die away. */
  end: PEDALS_UP | BEND_HOME | NOTES_OFF | VISITOR,
  /** Pause, seek: the sound may die away. */
  rest: PEDALS_UP | BEND_HOME | NOTES_OFF | WITHDRAW | VISITOR,
  /** Stop, quit, panic: no sound is left (CC120, MIDI 1.0, p. 24). */
  full: PEDALS_UP | BEND_HOME | NOTES_OFF | SOUND_OFF | WITHDRAW | VISITOR,
  /** After the last sound had its time. */
  soundOff: SOUND_OFF | VISITOR,
} as const;

/**
 * The one way to silence: note-offs for every sounding strike, pedals up where they are down, bend home where it
 * is not, then CC123 and CC120 (MIDI 1.0, p. 31 and A-4: 123 never stands in for note-offs). Note-offs and pedals
 * of all channels come first, as they are what one hears.
 * @param meant bits of channels
 * @param depth one of `Silence`
 */
export function silence(sender: Sender, sounding: Sounding, meant: number, depth: number): void {
  sender.stampNow();
  const { visitor } = sender;
  const channels = depth === Silence.turn && visitor !== undefined ? meant & ~visitor.own : meant;
  if ((depth & VISITOR) !== 0) visitor?.release(channels);
  if ((depth & WITHDRAW) !== 0) withdraw(sender, sounding, channels);
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0) continue;
    releaseNotes(sender, sounding, channel);
    if ((depth & PEDALS_UP) !== 0) liftPedals(sender, channel);
  }
  if ((depth & (BEND_HOME | NOTES_OFF | SOUND_OFF)) === 0) return;
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0) continue;
    const bend = sender.memory.bend[channel]!;
    if ((depth & BEND_HOME) !== 0 && bend !== BEND_UNSET && bend !== BEND_CENTRE) {
      sender.message(0xe0 | channel, BEND_CENTRE & 127, BEND_CENTRE >> 7);
    }
    if ((depth & NOTES_OFF) !== 0) sender.message(0xb0 | channel, Cc.allNotesOff, 0);
    if ((depth & SOUND_OFF) !== 0) sender.message(0xb0 | channel, Cc.allSoundOff, 0);
  }
}

/** What the outlet can take back was never struck: no note-off is owed for it, by us or by the song. */
function withdraw(sender: Sender, sounding: Sounding, channels: number): void {
  const { unstruck } = sender;
  unstruck.fill(0);
  sender.outlet.withdraw(channels, unstruck);
  for (let cell = 0; cell < unstruck.length; cell += 1) {
    for (let count = unstruck[cell]!; count > 0; count -= 1) sounding.releaseKey(cell >> 7, cell & 127);
    if (unstruck[cell] !== 0 && sounding.strikes[cell] === 0) sounding.clearKey(cell >> 7, cell & 127);
  }
}

function releaseNotes(sender: Sender, sounding: Sounding, channel: number): void {
  if (sounding.onChannel[channel] === 0) return;
  for (let key = 0; key < 128; key += 1) silenceKey(sender, sounding, channel, key);
}

/** Two strikes want two note-offs (MIDI 1.0, p. A-4); release velocity 64 where none is known (Table I). */
export function silenceKey(sender: Sender, sounding: Sounding, channel: number, key: number): void {
  const strikes = sounding.strikes[channel * 128 + key]!;
  if (strikes === 0) return;
  for (let i = 0; i < strikes; i += 1) sender.message(0x80 | channel, key, 64);
  sounding.clearKey(channel, key);
}

/** Ends what only a pedal holds. */
export function liftPedals(sender: Sender, channel: number): void {
  for (let i = 0; i < PEDALS.length; i += 1) {
    const pedal = PEDALS[i]!.controller;
    const value = sender.memory.value[channel * 128 + pedal]!;
    if (value !== UNSET && value > 0) sender.message(0xb0 | channel, pedal, 0);
  }
}
