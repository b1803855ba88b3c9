import { Cc } from '../../core/midi/controllers.ts';
import { PEDALS } from '../../core/midi/pedals.ts';
import type { ObservedState } from '../../core/observe/observed-state.ts';
import { AT_LENGTH, At, type Outlet } from '../../core/schedule/outlet.ts';
import type { Clock } from '../clock/clock.ts';
import type { WireOutlet } from '../lane/wire-outlet.ts';

/**
 * Silence by what was seen on the wire, without the scheduler: for a receiver that was cut off, and for the
 * case that the scheduler itself is at fault. Two strikes get two note-offs (MIDI 1.0, p. A-4); pedals go up
 * and the bend home; then CC123 and CC120, which alone would not do (p. 20), unless `round` says that they come anyway.
 * @param channels bit n for channel n
 */
export function silenceSeen(
  observed: ObservedState,
  outlet: Pick<Outlet, 'message'>,
  channels: number,
  now: number,
  round = true,
): void {
  const at = new Float64Array(AT_LENGTH).fill(now);
  at[At.songMicros] = -1;
  // As it is now: what is sent may be seen at once, and 123 counts as the end of every strike.
  const strikes = observed.strikes.slice();
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0 || observed.messages[channel] === 0) continue;
    for (let key = 0; key < 128; key += 1) {
      if (strikes[channel * 128 + key]! > 0) outlet.message(0x80 | channel, key, 64, at);
    }
    for (const { controller } of PEDALS) {
      if (isDown(observed, channel, controller)) outlet.message(0xb0 | channel, controller, 0, at);
    }
    if (observed.bend[channel] !== 8192) outlet.message(0xe0 | channel, 0, 64, at);
    if (!round) continue;
    outlet.message(0xb0 | channel, Cc.allNotesOff, 0, at);
    outlet.message(0xb0 | channel, Cc.allSoundOff, 0, at);
  }
  // What was struck more often than once is silent by now in most receivers; the rest of its note-offs come last.
  for (let cell = 0; cell < strikes.length; cell += 1) {
    if ((channels & (1 << (cell >> 7))) === 0) continue;
    for (let strike = 1; strike < strikes[cell]!; strike += 1) {
      outlet.message(0x80 | (cell >> 7), cell & 127, 64, at);
    }
  }
}

/** Channels (bit n for channel n) on which a note sounds, a pedal is down or the bend is off its centre. */
export function restlessChannels(observed: ObservedState): number {
  let channels = 0;
  for (let channel = 0; channel < 16; channel += 1) {
    const pedal = PEDALS.some(({ controller }) => isDown(observed, channel, controller));
    if (pedal || observed.sounding[channel] !== 0 || observed.bend[channel] !== 8192)
      channels |= 1 << channel;
  }
  return channels;
}

/** After a fault of ours: silences everything and sees it out to the ports, blocking, for a bounded time. */
export function lastSilence(observed: ObservedState, outlet: WireOutlet, clock: Clock): void {
  const now = new Float64Array(1);
  clock.read(now);
  const until = now[0]! + LIMIT_MICROS;
  outlet.withdraw(0xffff, new Uint16Array(2048)); // judged by what was seen: what was not struck is nobody's
  outlet.dropOthers();
  const pause = new Int32Array(new SharedArrayBuffer(4));
  const drain = (): void => {
    while (!outlet.drained() && now[0]! < until) {
      Atomics.wait(pause, 0, 0, 1);
      clock.read(now);
      outlet.pump();
    }
  };
  drain();
  silenceSeen(observed, outlet, 0xffff, now[0]!);
  drain();
}

function isDown(observed: ObservedState, channel: number, pedal: number): boolean {
  const value = observed.controller[channel * 128 + pedal]!;
  return value > 0 && value < 128;
}

const LIMIT_MICROS = 2_000_000;
