import { Cc } from '../midi/controllers.ts';
import { NO_PARAMETER, type ReceiverMemory } from './receiver-memory.ts';
import { parameterRest, UNSET } from './rest-values.ts';
import type { ChaseSink } from './sender.ts';

/**
 * Registered and non-registered parameters: each one's final data, then the selection that playing from the
 * start would leave (MIDI 1.0, p. 17–18: number, data entry MSB, LSB, then steps; a selection lasts until changed).
 * The parameter that stays selected is set last, so that it need not be chosen twice.
 */
export function chaseParameters(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const last = song.selection(channel);
  const wants = song.parameters;
  for (let row = 0; row < wants.count; row += 1) {
    const key = wants.key[row]!;
    if (key >> 15 === channel && key !== last) chaseParameter(song, sink, channel, key);
  }
  const has = sink.memory.parameters;
  for (let row = 0; row < has.count; row += 1) {
    const key = has.key[row]!;
    if (key >> 15 === channel && key !== last && wants.find(key) < 0)
      chaseParameter(song, sink, channel, key);
  }
  if (last !== NO_PARAMETER) chaseParameter(song, sink, channel, last);
  restoreSelection(song, sink, channel);
}

function chaseParameter(song: ReceiverMemory, sink: ChaseSink, channel: number, key: number): void {
  const rest = parameterRest((key & 0x4000) !== 0, key & 0x3fff);
  const want = song.parameters.find(key);
  const has = sink.memory.parameters.find(key);
  // A parameter neither of them set rests; as data unset on both sides it compares equal.
  let msb = want < 0 ? UNSET : song.parameters.msb[want]!;
  let lsb = want < 0 ? UNSET : song.parameters.lsb[want]!;
  const unordered = want < 0 || lsb === UNSET || lsb === 0; // an LSB of 0 is 0 before or after its MSB
  const stale = unordered ? 0 : song.parameters.stale[want]!;
  const steps = want < 0 ? 0 : song.parameters.steps[want]!;
  const sentMsb = has < 0 ? UNSET : sink.memory.parameters.msb[has]!;
  const sentLsb = has < 0 ? UNSET : sink.memory.parameters.lsb[has]!;
  const sentStale = has < 0 || unordered ? 0 : sink.memory.parameters.stale[has]!;
  const sentSteps = has < 0 ? 0 : sink.memory.parameters.steps[has]!;
  // A song that sent only the MSB left the LSB at 0 (MIDI 1.0, p. 12).
  if (lsb === UNSET && sentLsb !== UNSET) lsb = msb === UNSET ? rest & 127 : 0;
  if (msb === UNSET && sentMsb !== UNSET) msb = rest >> 7;
  const sameData = msb === sentMsb && lsb === sentLsb && stale === sentStale;
  if (sameData && steps === sentSteps) return;
  select(sink, channel, key);
  const control = 0xb0 | channel;
  if (!sameData || Math.abs(steps - sentSteps) > Math.abs(steps)) {
    if (stale !== 0 && lsb !== UNSET) sink.message(control, Cc.dataEntryFine, lsb);
    if (msb !== UNSET) sink.message(control, Cc.dataEntry, msb);
    if (stale === 0 && lsb !== UNSET) sink.message(control, Cc.dataEntryFine, lsb);
  }
  const row = sink.memory.parameters.find(key);
  let held = row < 0 ? 0 : sink.memory.parameters.steps[row]!;
  for (; held < steps; held += 1) sink.message(control, Cc.dataIncrement, 0);
  for (; held > steps; held -= 1) sink.message(control, Cc.dataDecrement, 0);
}

/** Both halves each time (MIDI 1.0, p. 17), unless the receiver has just this one selected. */
function select(sink: ChaseSink, channel: number, key: number): void {
  if (sink.memory.selection(channel) === key) return;
  const high = (key & 0x4000) !== 0 ? Cc.nrpn : Cc.rpn;
  sink.message(0xb0 | channel, high, (key >> 7) & 127);
  sink.message(0xb0 | channel, high - 1, key & 127);
}

function restoreSelection(song: ReceiverMemory, sink: ChaseSink, channel: number): void {
  const kind = song.selected[channel]!;
  // The kind not selected keeps its halves too: a song may send only one half when it comes back to it. Where the
  // song selected nothing, 127 in both halves is the null parameter: data entry goes nowhere.
  restoreHalves(song, sink, channel, kind === 1 ? Cc.nrpn : Cc.rpn, false);
  const choose = kind !== 0 && sink.memory.selected[channel] !== kind;
  restoreHalves(song, sink, channel, kind === 1 ? Cc.rpn : Cc.nrpn, choose);
}

function restoreHalves(
  song: ReceiverMemory,
  sink: ChaseSink,
  channel: number,
  high: number,
  choose: boolean,
): void {
  for (let controller = high; controller >= high - 1; controller -= 1) {
    const cell = channel * 128 + controller;
    const value = song.value[cell]!;
    const sent = sink.memory.value[cell]!;
    if (value === sent && !choose) continue;
    if (value !== UNSET) sink.message(0xb0 | channel, controller, value);
    else if (sent !== UNSET && sent !== 127) sink.message(0xb0 | channel, controller, 127);
  }
}
