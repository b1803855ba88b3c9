import { chaseParameters } from './chase-parameters.ts';
import type { ReceiverMemory } from './receiver-memory.ts';
import { BEND_CENTRE, BEND_UNSET, RESET_BY_121, REST_VALUES, UNSET } from './rest-values.ts';
import type { ChaseSink } from './sender.ts';

/** Controllers that act once and leave no state: portamento control, high-resolution velocity prefix. */
const MOMENTARY: readonly number[] = [84, 88];

/**
 * Sends what is missing on one channel, in the fewest bytes: the difference between what the song says and what
 * was sent. What the song has not touched goes back to its rest value, but only if something else was sent.
 * @param program program to hold instead of the song's, −1 for none
 */
export function chaseChannel(song: ReceiverMemory, sink: ChaseSink, channel: number, program: number): void {
  resetWhereShorter(song, sink, channel);
  chaseProgram(song, sink, channel, program);
  for (let n = 1; n < 32; n += 1) if (n !== 6) chasePair(song, sink, channel, n);
  for (let n = 64; n < 96; n += 1) if (!MOMENTARY.includes(n)) chaseSingle(song, sink, channel, n);
  for (let n = 102; n < 120; n += 1) chaseSingle(song, sink, channel, n);
  chaseModes(song, sink, channel);
  chaseParameters(song, sink, channel);
  const bend = wantedBend(song, sink.memory, channel);
  if (bend !== BEND_UNSET) sink.message(0xe0 | channel, bend & 127, bend >> 7);
  const pressure = wanted(song.pressure[channel]!, sink.memory.pressure[channel]!, 0);
  if (pressure !== UNSET) sink.message(0xd0 | channel, pressure, 0);
}

/** Value to send so that the receiver holds what the song says, or UNSET when it does. */
export function wanted(song: number, sent: number, rest: number): number {
  if (song === sent) return UNSET;
  if (song !== UNSET) return song;
  return sent === rest ? UNSET : rest;
}

function wantedBend(song: ReceiverMemory, sent: ReceiverMemory, channel: number): number {
  const to = song.bend[channel]!;
  const from = sent.bend[channel]!;
  if (to === from) return BEND_UNSET;
  if (to !== BEND_UNSET) return to;
  return from === BEND_CENTRE ? BEND_UNSET : BEND_CENTRE;
}

function chaseSingle(song: ReceiverMemory, sink: ChaseSink, channel: number, n: number): void {
  const cell = channel * 128 + n;
  const value = wanted(song.value[cell]!, sink.memory.value[cell]!, REST_VALUES[n]!);
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
  const msb = wanted(song.value[high]!, sent.value[high]!, REST_VALUES[n]!);
  const lsb = song.value[low]!;
  const control = 0xb0 | channel;
  if (lsb === UNSET) {
    if (msb !== UNSET) sink.message(control, n, msb);
    if (sent.value[low] !== UNSET && sent.value[low] !== 0) sink.message(control, n + 32, 0);
    return;
  }
  const stale = song.stale[channel * 32 + n]!;
  const sameLsb = lsb === sent.value[low] && stale === sent.stale[channel * 32 + n];
  if (msb === UNSET && sameLsb) return;
  if (stale !== 0) {
    if (lsb !== sent.value[low]) sink.message(control, n + 32, lsb);
    sink.message(control, n, song.value[high]!);
  } else {
    if (msb !== UNSET) sink.message(control, n, msb);
    sink.message(control, n + 32, lsb);
  }
}

/** Bank (CC0, CC32) and program back to back (MIDI 1.0, p. 13), then a bank chosen since but not yet taken. */
function chaseProgram(song: ReceiverMemory, sink: ChaseSink, channel: number, override: number): void {
  const sent = sink.memory;
  if (override >= 0) {
    if (sent.program[channel] !== override) sink.message(0xc0 | channel, override, 0);
  } else {
    const msb = song.bankMsb[channel]!;
    const lsb = song.bankLsb[channel]!;
    const program = wanted(song.program[channel]!, sent.program[channel]!, 0);
    const bankDiffers =
      sent.program[channel] !== UNSET &&
      (wanted(msb, sent.bankMsb[channel]!, 0) !== UNSET || wanted(lsb, sent.bankLsb[channel]!, 0) !== UNSET);
    if (program !== UNSET || bankDiffers) {
      chaseBank(sink, channel, 0, msb);
      chaseBank(sink, channel, 32, lsb);
      sink.message(0xc0 | channel, song.program[channel] === UNSET ? 0 : song.program[channel]!, 0);
    }
  }
  chaseBank(sink, channel, 0, song.value[channel * 128]!);
  chaseBank(sink, channel, 32, song.value[channel * 128 + 32]!);
}

function chaseBank(sink: ChaseSink, channel: number, n: number, bank: number): void {
  const value = wanted(bank, sink.memory.value[channel * 128 + n]!, 0);
  if (value !== UNSET) sink.message(0xb0 | channel, n, value);
}

/** Local control, omni, mono and poly. At rest: local on, omni off, poly. */
function chaseModes(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const cell = channel * 128;
  const local = wanted(song.value[cell + 122]!, sink.memory.value[cell + 122]!, 127);
  if (local !== UNSET) sink.message(0xb0 | channel, 122, local);
  chaseMode(song, sink, channel, 124, 125);
  chaseMode(song, sink, channel, 127, 126);
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
  const sent = sink.memory.value[cell + mode]!;
  if (value === sent) return;
  if (value !== UNSET) sink.message(0xb0 | channel, mode, value);
  else if (sink.memory.value[cell + other] !== UNSET) sink.message(0xb0 | channel, rest, 0);
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
  if (after < without) sink.message(0xb0 | channel, 121, 0);
}
