import { GM_DRUM_CHANNELS } from '../instrument/general-midi.ts';
import {
  LOAD_SLOTS,
  NEVER_SEEN,
  type ObservedState,
  RECENT_COUNT,
  SLOT_COUNT,
  Slot,
} from './observed-state.ts';
import { MOST_PORTS, PORT_SLOT_COUNT, PortSlot } from './port-state.ts';

const CHANNELS = 16;
const KEYS = CHANNELS * 128;

/**
 * The layout: wide values first, so that every view is aligned without padding.
 *
 *   f64  numbers 64 · onset 2048 · onset song 2048 · activity 16 · program changed 16 · recent time 512
 *        · 16 ports of 16
 *   u32  note-ons 16 · messages 16 · bytes 16 · held back 16 · programs used 64 · recent 512 · load 512
 *        · load of 16 ports of 512
 *   u16  bend 16 · program override 16
 *   u8   velocity 2048 · strikes 2048 · pedal-held 2048 · controller 2048 · then nine tables of 16
 */
const F64_COUNT = SLOT_COUNT + 2 * KEYS + 2 * CHANNELS + RECENT_COUNT + MOST_PORTS * PORT_SLOT_COUNT;
const U32_COUNT = 4 * CHANNELS + 4 * CHANNELS + RECENT_COUNT + LOAD_SLOTS + MOST_PORTS * LOAD_SLOTS;
const U16_COUNT = 2 * CHANNELS;
const U8_COUNT = 4 * KEYS + 9 * CHANNELS;

export const OBSERVED_STATE_BYTES = F64_COUNT * 8 + U32_COUNT * 4 + U16_COUNT * 2 + U8_COUNT;

/**
 * A fresh state in which nothing was seen; or, given the `buffer` of one, another view of it (from any thread).
 */
export function createObservedState(buffer?: SharedArrayBuffer): ObservedState {
  const shared = buffer ?? new SharedArrayBuffer(OBSERVED_STATE_BYTES);
  if (shared.byteLength !== OBSERVED_STATE_BYTES) throw new RangeError('not the buffer of an observed state');
  const state = viewOf(shared);
  if (buffer === undefined) setUnseen(state);
  return state;
}

function viewOf(buffer: SharedArrayBuffer): ObservedState {
  let at = 0;
  const take = (bytes: number): number => {
    const start = at;
    at += bytes;
    return start;
  };
  const f64 = (count: number) => new Float64Array(buffer, take(count * 8), count);
  const u32 = (count: number) => new Uint32Array(buffer, take(count * 4), count);
  const u8 = (count: number) => new Uint8Array(buffer, take(count), count);
  const i8 = (count: number) => new Int8Array(buffer, take(count), count);
  const tables = {
    buffer,
    numbers: f64(SLOT_COUNT),
    onsetMicros: f64(KEYS),
    onsetSongMicros: f64(KEYS),
    lastActivityMicros: f64(CHANNELS),
    programChangedMicros: f64(CHANNELS),
    recentMicros: f64(RECENT_COUNT),
    portNumbers: f64(MOST_PORTS * PORT_SLOT_COUNT),
    noteOns: u32(CHANNELS),
    messages: u32(CHANNELS),
    bytes: u32(CHANNELS),
    heldBack: u32(CHANNELS),
    programsUsed: u32(4 * CHANNELS),
    recent: u32(RECENT_COUNT),
    loadBytes: u32(LOAD_SLOTS),
    portLoadBytes: u32(MOST_PORTS * LOAD_SLOTS),
    bend: new Uint16Array(buffer, take(CHANNELS * 2), CHANNELS),
    programOverride: new Int16Array(buffer, take(CHANNELS * 2), CHANNELS),
    velocity: u8(KEYS),
    strikes: u8(KEYS),
    pedalHeld: u8(KEYS),
    controller: u8(KEYS),
    program: u8(CHANNELS),
    bankMsb: u8(CHANNELS),
    bankLsb: u8(CHANNELS),
    pressure: u8(CHANNELS),
    sounding: u8(CHANNELS),
    muted: u8(CHANNELS),
    soloed: u8(CHANNELS),
    velocityTrim: i8(CHANNELS),
    channelTranspose: i8(CHANNELS),
  };
  const { portNumbers, portLoadBytes, ...state } = tables;
  const ports = Array.from({ length: MOST_PORTS }, (_, port) => ({
    numbers: portNumbers.subarray(port * PORT_SLOT_COUNT, (port + 1) * PORT_SLOT_COUNT),
    loadBytes: portLoadBytes.subarray(port * LOAD_SLOTS, (port + 1) * LOAD_SLOTS),
  }));
  return { ...state, ports };
}

function setUnseen(state: ObservedState): void {
  state.controller.fill(NEVER_SEEN);
  state.program.fill(NEVER_SEEN);
  state.bankMsb.fill(NEVER_SEEN);
  state.bankLsb.fill(NEVER_SEEN);
  state.bend.fill(8192);
  state.onsetSongMicros.fill(-1);
  state.lastActivityMicros.fill(-1);
  state.programChangedMicros.fill(-1);
  state.programOverride.fill(-1);
  const { numbers } = state;
  numbers[Slot.tempoScale] = 1;
  numbers[Slot.drumChannels] = GM_DRUM_CHANNELS;
  numbers[Slot.loopFromMicros] = -1;
  numbers[Slot.loopToMicros] = -1;
  numbers[Slot.worstOnsetSongMicros] = -1;
  for (const port of state.ports) port.numbers[PortSlot.worstOnsetSongMicros] = -1;
}
