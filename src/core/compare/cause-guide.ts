import type { CauseCode } from './cause.ts';

export interface CauseWords {
  /** What is wrong with the player, in one line. */
  readonly text: string;
  /** What to look at in one's own code or interface. */
  readonly look: string;
}

/** Words for each cause: on screen, in the report and in docs/compare.md. */
export const CAUSE_GUIDE: Readonly<Record<CauseCode, CauseWords>> = {
  'running-status-across-tracks': {
    text: 'running status is mixed up between tracks',
    look: 'keep the last status byte for each track; it does not carry over from one track to another',
  },
  'file-running-status': {
    text: 'running status in the file is not understood',
    look: 'an event that begins with a byte below 80 hex has the status of the event before it in its track',
  },
  'no-timing': {
    text: 'there is no timing: the bytes go out as fast as they can',
    look: 'wait out the delta time before each event; is the timer running, and its count read?',
  },
  'tracks-in-turn': {
    text: 'the tracks are played one after another',
    look: 'in a file of format 1 all tracks begin at once: always play the event that is due first of all tracks',
  },
  'tempo-ignored': {
    text: 'tempo changes are ignored',
    look: 'meta event 51 hex changes the length of a tick from there on, for all tracks',
  },
  'running-status-over-sysex': {
    text: 'running status is kept over SysEx',
    look: 'SysEx and meta events cancel running status: send the status byte again after them',
  },
  'bytes-lost': {
    text: 'bytes are lost',
    look: 'is the transmitter’s ready bit polled before each byte; does an interrupt come between; is the buffer full?',
  },
  'velocity-zero': {
    text: 'a note-on with velocity 0 is not taken as a release',
    look: 'send it on as it stands, or as a note-off: it must not be dropped, nor sound',
  },
  'sysex-unended': {
    text: 'SysEx is not ended',
    look: 'the F7 that ends a SysEx is the last byte of the event in the file, and must be sent',
  },
  'slow-adds-up': {
    text: 'time is lost with every message, and never made up',
    look: 'wait for an absolute moment and not for a time after the last event was done',
  },
  'slow-chords': {
    text: 'the player is slow within chords',
    look: 'what is done between two bytes takes longer than the wire: decode ahead, while waiting',
  },
  'timer-tick': {
    text: 'events are played on a coarse timer tick',
    look: 'use a faster timer, or count the rest of the tick as well',
  },
  'clock-rate': {
    text: 'the player’s clock is fast or slow',
    look: 'divisor of the timer, cycles of the waiting loop, rounding of microseconds a tick; a crystal is right to 0.01 %',
  },
};
