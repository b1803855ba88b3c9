import { Cc } from '../midi/controllers.ts';
import { chaseParameters } from './chase-parameters.ts';
import type { ReceiverMemory } from './receiver-memory.ts';
import { BEND_CENTRE, BEND_UNSET, RESET_BY_121, REST_VALUES, UNSET } from './rest-values.ts';
import type { ChaseSink } from './sender.ts';
import { Settled } from './settled.ts';

/** Controllers that act once and leave no state: portamento control, high-resolution velocity prefix. */
const MOMENTARY: readonly number[] = [Cc.portamentoControl, Cc.velocityPrefix];

/**
 * Sends what is missing on one channel, in the fewest bytes: the difference between what the song says and what
 * was sent. What the song has not touched goes back to its rest value, but only if something else was sent, and
 * if a note could hear it.
 * @param override program to hold instead of the song's, −1 for none
 */
export function chaseChannel(song: ReceiverMemory, sink: ChaseSink, channel: number, override: number): void {
  resetWhereShorter(song, sink, channel);
  if (override >= 0) chaseOverride(sink, channel, override);
  else chaseProgram(song, sink, channel);
  chaseSingle(song, sink, channel, Cc.bankSelect);
  chaseSingle(song, sink, channel, Cc.bankSelectFine);
  for (let n = 1; n < 32; n += 1) if (n !== Cc.dataEntry) chasePair(song, sink, channel, n);
  for (let n = Cc.damper; n < Cc.dataIncrement; n += 1)
    if (!MOMENTARY.includes(n)) chaseSingle(song, sink, channel, n);
  for (let n = Cc.rpn + 1; n < Cc.allSoundOff; n += 1) chaseSingle(song, sink, channel, n);
  chaseModes(song, sink, channel);
  chaseParameters(song, sink, channel);
  chaseBend(song, sink, channel);
  chasePressure(song, sink, channel);
}

/**
 * Value to send so that the receiver holds what the song says, or UNSET when it does.
 * @param settled 1 where nobody hears what was there before the song says something
 */
function wanted(song: number, sent: number, rest: number, settled: number): number {
  if (song === sent) return UNSET;
  if (song !== UNSET) return song;
  return sent === rest || settled !== 0 ? UNSET : rest;
}

function wantedControl(song: ReceiverMemory, sent: ReceiverMemory, channel: number, n: number): number {
  const cell = channel * 128 + n;
  return wanted(
    song.value[cell]!,
    sent.value[cell]!,
    REST_VALUES[n]!,
    song.settled[channel * Settled.stride + n]!,
  );
}

function chaseSingle(song: ReceiverMemory, sink: ChaseSink, channel: number, n: number): void {
  const value = wantedControl(song, sink.memory, channel, n);
  if (value !== UNSET) sink.message(0xb0 | channel, n, value);
}

/**
 * MSB and LSB. By the specification a new MSB sets the LSB to 0 (MIDI 1.0, p. 12); not every receiver does. Sent
 * in the order in which the song sent them last, both kinds end where they would have.
 */
function chasePair(song: ReceiverMemory, sink: ChaseSink, channel: number, n: number): void {
  const sent = sink.memory;
  const high = channel * 128 + n;
  const low = high + 32;
  const msb = wantedControl(song, sent, channel, n);
  const lsb = song.value[low]!;
  const control = 0xb0 | channel;
  if (lsb === UNSET) {
    if (msb !== UNSET) sink.message(control, n, msb);
    // The song's own MSB set the LSB to 0.
    const left =
      song.value[high] === UNSET
        ? wantedControl(song, sent, channel, n + 32)
        : wanted(UNSET, sent.value[low]!, 0, 0);
    if (left !== UNSET) sink.message(control, n + 32, left);
    return;
  }
  // An LSB of 0 is 0 before or after its MSB.
  const stale = lsb === 0 ? 0 : song.stale[channel * 32 + n]!;
  const sameLsb = lsb === sent.value[low] && (lsb === 0 || stale === sent.stale[channel * 32 + n]);
  if (msb === UNSET && sameLsb) return;
  if (stale !== 0) {
    if (lsb !== sent.value[low]) sink.message(control, n + 32, lsb);
    sink.message(control, n, song.value[high]!);
  } else {
    if (msb !== UNSET) sink.message(control, n, msb);
    sink.message(control, n + 32, lsb);
  }
}

/** A program held by the user, in whatever bank is selected. */
function chaseOverride(sink: ChaseSink, channel: number, program: number): void {
  if (sink.memory.program[channel] !== program) sink.message(0xc0 | channel, program, 0);
}

/** Bank (CC0, CC32) and program back to back (MIDI 1.0, p. 13); a bank chosen since then follows by itself. */
function chaseProgram(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const sent = sink.memory;
  const program = song.program[channel]!;
  if (program === UNSET) {
    const settled = song.settled[channel * Settled.stride + Settled.program] !== 0;
    if (settled || sent.program[channel] === UNSET) return;
  }
  const target = program === UNSET ? 0 : program;
  const msb = song.bankMsb[channel]!;
  const lsb = song.bankLsb[channel]!;
  const same =
    sent.program[channel] === target &&
    wanted(msb, sent.bankMsb[channel]!, 0, 0) === UNSET &&
    wanted(lsb, sent.bankLsb[channel]!, 0, 0) === UNSET;
  if (same) return;
  sendBank(sink, channel, 0, wanted(msb, sent.value[channel * 128]!, 0, 0));
  sendBank(sink, channel, 32, wanted(lsb, sent.value[channel * 128 + 32]!, 0, 0));
  sink.message(0xc0 | channel, target, 0);
}

function sendBank(sink: ChaseSink, channel: number, n: number, value: number): void {
  if (value !== UNSET) sink.message(0xb0 | channel, n, value);
}

function chaseBend(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const from = sink.memory.bend[channel]!;
  let to = song.bend[channel]!;
  if (to === BEND_UNSET) {
    if (from === BEND_UNSET || song.settled[channel * Settled.stride + Settled.bend] !== 0) return;
    to = BEND_CENTRE;
  }
  if (to !== from) sink.message(0xe0 | channel, to & 127, to >> 7);
}

function chasePressure(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const settled = song.settled[channel * Settled.stride + Settled.pressure]!;
  const pressure = wanted(song.pressure[channel]!, sink.memory.pressure[channel]!, 0, settled);
  if (pressure !== UNSET) sink.message(0xd0 | channel, pressure, 0);
}

/** Local control, omni, mono and poly. At rest: local on, omni off, poly. */
function chaseModes(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const cell = channel * 128;
  const local = wanted(
    song.value[cell + Cc.localControl]!,
    sink.memory.value[cell + Cc.localControl]!,
    127,
    0,
  );
  if (local !== UNSET) sink.message(0xb0 | channel, Cc.localControl, local);
  chaseMode(song, sink, channel, Cc.omniOff, Cc.omniOn);
  chaseMode(song, sink, channel, Cc.polyOn, Cc.monoOn);
}

function chaseMode(
  song: ReceiverMemory,
  sink: ChaseSink,
  channel: number,
  rest: number,
  other: number,
): void {
  const cell = channel * 128;
  const mode = song.value[cell + other] === UNSET ? rest : other;
  const value = song.value[cell + mode]!;
  if (value === UNSET) {
    if (sink.memory.value[cell + other] !== UNSET) sink.message(0xb0 | channel, rest, 0);
  } else if (value !== sink.memory.value[cell + mode]) {
    sink.message(0xb0 | channel, mode, value);
  }
}

/** Where the song reset the controllers and the receiver was not told, CC121 may be shorter than its effects. */
function resetWhereShorter(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const sent = sink.memory;
  if (song.reset[channel] === 0 || sent.reset[channel] !== 0) return;
  let without = 0;
  let after = 3;
  for (let i = 0; i < RESET_BY_121.length; i += 1) {
    const entry = RESET_BY_121[i]!;
    const value = song.value[channel * 128 + entry[0]]!;
    if (value !== sent.value[channel * 128 + entry[0]]) without += 2;
    if (value !== entry[1]) after += 2;
  }
  if (song.bend[channel] !== sent.bend[channel]) without += 3;
  if (song.bend[channel] !== BEND_CENTRE) after += 3;
  if (song.pressure[channel] !== sent.pressure[channel]) without += 2;
  if (song.pressure[channel] !== 0) after += 2;
  if (after < without) sink.message(0xb0 | channel, Cc.resetAllControllers, 0);
}
