import { Cc, isSwitchOn } from '../midi/controllers.ts';
import { At } from '../schedule/outlet.ts';
import { RESET_BY_121 } from '../schedule/rest-values.ts';
import { isDamperDown } from './damper.ts';
import { NEVER_SEEN, type ObservedState, RECENT_COUNT, Slot } from './observed-state.ts';

/** What CC121 brings to rest, as [controller, value]: with the rest values, no parameter is selected (RPN null). */
const RESET_CONTROLLERS: readonly (readonly [number, number])[] = [
  ...RESET_BY_121,
  [Cc.nrpnFine, 127],
  [Cc.nrpn, 127],
  [Cc.rpnFine, 127],
  [Cc.rpn, 127],
];

/**
 * Folds one whole message, as it passed on the wire, into the picture. Allocates nothing.
 * @param at register (see `At`): run time in `at[At.dueMicros]`, song time (or −1) in `at[At.songMicros]`
 */
export function foldMessage(
  state: ObservedState,
  status: number,
  data1: number,
  data2: number,
  at: Float64Array,
): void {
  const { numbers } = state;
  numbers[Slot.messagesSent]! += 1;
  // Clock and Active Sensing would push everything of interest out of the ring.
  if (status !== 0xf8 && status !== 0xfe) remember(state, (status << 16) | (data1 << 8) | data2, at);
  if (status < 0xf0) foldChannelMessage(state, status, data1, data2, at);
  else if (status === 0xff) foldSystemReset(state);
  numbers[Slot.revision]! += 1;
}

function remember(state: ObservedState, packed: number, at: Float64Array): void {
  const row = state.numbers[Slot.recentNext]! % RECENT_COUNT;
  state.recent[row] = packed;
  state.recentMicros[row] = at[At.dueMicros]!;
  state.numbers[Slot.recentNext]! += 1;
}

function foldChannelMessage(
  state: ObservedState,
  status: number,
  data1: number,
  data2: number,
  at: Float64Array,
): void {
  const channel = status & 0x0f;
  state.messages[channel]! += 1;
  state.lastActivityMicros[channel] = at[At.dueMicros]!;
  switch (status & 0xf0) {
    case 0x90:
      // Velocity 0 is a note-off (MIDI 1.0, Table I).
      if (data2 > 0) strike(state, channel, data1, data2, at);
      else release(state, channel, data1);
      break;
    case 0x80:
      release(state, channel, data1);
      break;
    case 0xb0:
      control(state, channel, data1, data2);
      break;
    case 0xc0:
      changeProgram(state, channel, data1, at);
      break;
    case 0xd0:
      state.pressure[channel] = data1;
      break;
    case 0xe0:
      state.bend[channel] = data1 | (data2 << 7);
      break;
    // Polyphonic pressure (An) has no place in the picture beyond the recent messages.
  }
}

function strike(
  state: ObservedState,
  channel: number,
  key: number,
  velocity: number,
  at: Float64Array,
): void {
  const cell = channel * 128 + key;
  const strikes = state.strikes[cell]!;
  if (strikes === 0) state.sounding[channel]! += 1;
  if (strikes < 255) state.strikes[cell] = strikes + 1;
  state.onsetMicros[cell] = at[At.dueMicros]!;
  state.onsetSongMicros[cell] = at[At.songMicros]!;
  state.velocity[cell] = velocity;
  state.pedalHeld[cell] = 0;
  state.noteOns[channel]! += 1;
  state.numbers[Slot.noteOnsSent]! += 1;
}

/** Two note-ons want two note-offs; a surplus one does nothing (MIDI 1.0, p. A-4). */
function release(state: ObservedState, channel: number, key: number): void {
  const cell = channel * 128 + key;
  const strikes = state.strikes[cell]!;
  if (strikes === 0) return;
  state.strikes[cell] = strikes - 1;
  if (strikes > 1) return;
  state.velocity[cell] = 0;
  state.sounding[channel]! -= 1;
  if (isDamperDown(state, channel)) state.pedalHeld[cell] = 1;
}

function control(state: ObservedState, channel: number, controller: number, value: number): void {
  const cell = channel * 128 + controller;
  state.controller[cell] = value;
  // 120 and 123–127 end every note (MIDI 1.0, p. 20–25). A pedal may go on holding the sound of it, as it does
  // after a note-off; `strikes` says what the wire said.
  if (controller === Cc.damper && !isSwitchOn(value)) liftPedal(state, channel);
  else if (controller === Cc.allSoundOff) soundOff(state, channel);
  else if (controller === Cc.resetAllControllers) resetControllers(state, channel);
  else if (controller >= Cc.allNotesOff) releaseAll(state, channel);
  else if (controller > 0 && controller < 32 && state.controller[cell + 32] !== NEVER_SEEN) {
    // A new MSB sets the LSB to 0 (MIDI 1.0, p. 12). Bank select is left alone: its halves are sent either way round.
    state.controller[cell + 32] = 0;
  }
}

function liftPedal(state: ObservedState, channel: number): void {
  state.pedalHeld.fill(0, channel * 128, channel * 128 + 128);
}

/** 120 cuts what a pedal holds too (MIDI 1.0, Table IV: All Sound Off). */
function soundOff(state: ObservedState, channel: number): void {
  releaseAll(state, channel);
  liftPedal(state, channel);
}

function resetControllers(state: ObservedState, channel: number): void {
  liftPedal(state, channel);
  for (let i = 0; i < RESET_CONTROLLERS.length; i += 1) {
    const entry = RESET_CONTROLLERS[i]!;
    state.controller[channel * 128 + entry[0]] = entry[1];
  }
  state.bend[channel] = 8192;
  state.pressure[channel] = 0;
}

/** With the pedal down All Notes Off is remembered as a note-off is (MIDI 1.0, p. A-5). */
function releaseAll(state: ObservedState, channel: number): void {
  if (isDamperDown(state, channel)) {
    for (let cell = channel * 128; cell < channel * 128 + 128; cell += 1) {
      if (state.strikes[cell]! > 0) state.pedalHeld[cell] = 1;
    }
  }
  state.strikes.fill(0, channel * 128, channel * 128 + 128);
  state.velocity.fill(0, channel * 128, channel * 128 + 128);
  state.sounding[channel] = 0;
}

function changeProgram(state: ObservedState, channel: number, program: number, at: Float64Array): void {
  state.program[channel] = program;
  // The bank takes effect only at the program change (MIDI 1.0, p. 13).
  state.bankMsb[channel] = state.controller[channel * 128]!;
  state.bankLsb[channel] = state.controller[channel * 128 + 32]!;
  state.programChangedMicros[channel] = at[At.dueMicros]!;
  state.programsUsed[channel * 4 + (program >> 5)]! |= 1 << (program & 31);
}

/** After System Reset (FF) or a General MIDI reset: nothing sounds, and nothing set before is in force. */
export function foldSystemReset(state: ObservedState): void {
  for (let channel = 0; channel < 16; channel += 1) soundOff(state, channel);
  state.controller.fill(NEVER_SEEN);
  state.program.fill(NEVER_SEEN);
  state.bankMsb.fill(NEVER_SEEN);
  state.bankLsb.fill(NEVER_SEEN);
  state.bend.fill(8192);
  state.pressure.fill(0);
}
