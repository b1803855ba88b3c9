import { TransportSlot } from '../schedule/transport-board.ts';
import type { PortState } from './port-state.ts';

export { TRANSPORT_STATES, type TransportState } from '../schedule/transport-board.ts';

/**
 * What was seen on the wire, folded into one picture: the screen, the JSON report and the stuck-note finder
 * read this and nothing else. It lies in one SharedArrayBuffer; the sending (or listening) thread writes it,
 * everybody else only looks. Every value is written whole, so a reader may see one value newer than another
 * but never half a value; `numbers[Slot.revision]` counts the writes.
 *
 * Tables by channel and key, or channel and controller, are indexed `channel * 128 + key`.
 */
export interface ObservedState {
  readonly buffer: SharedArrayBuffer;
  /** f64 single values, indexed by `Slot`. */
  readonly numbers: Float64Array;

  /** [2048] velocity of the latest note-on while the key sounds; 0 once every strike was released. */
  readonly velocity: Uint8Array;
  /** [2048] note-ons seen less note-offs seen. */
  readonly strikes: Uint8Array;
  /** [2048] 1 for a key that was released while the damper pedal was down, until the pedal goes up. */
  readonly pedalHeld: Uint8Array;
  /** [2048] run time (µs) of the latest note-on. */
  readonly onsetMicros: Float64Array;
  /** [2048] song time (µs) of the latest note-on; −1 when listening. */
  readonly onsetSongMicros: Float64Array;

  /** [2048] last value of each controller, 255 while none was seen. */
  readonly controller: Uint8Array;
  /** [16] last program, 255 while none was seen. */
  readonly program: Uint8Array;
  /** [16] bank in force at the last program change, MSB and LSB, 255 while none was seen. */
  readonly bankMsb: Uint8Array;
  readonly bankLsb: Uint8Array;
  /** [16] pitch bend 0–16383, centre 8192. */
  readonly bend: Uint16Array;
  /** [16] channel pressure. */
  readonly pressure: Uint8Array;
  /** [16] sounding keys (not strikes). */
  readonly sounding: Uint8Array;
  /** [16] run time (µs) of the last message of any kind; −1 before the first. */
  readonly lastActivityMicros: Float64Array;
  /** [16] run time (µs) of the last program change; −1 before the first. */
  readonly programChangedMicros: Float64Array;
  /** [16] counts since the start. */
  readonly noteOns: Uint32Array;
  readonly messages: Uint32Array;
  readonly bytes: Uint32Array;
  /** [16] note-ons held back by mute or solo. */
  readonly heldBack: Uint32Array;
  /** [16 × 4] bit p of the 128-bit set: program p was sent on the channel. */
  readonly programsUsed: Uint32Array;

  /** Settings in force, mirrored for the screen: [16] each. */
  readonly muted: Uint8Array;
  readonly soloed: Uint8Array;
  readonly velocityTrim: Int8Array;
  readonly channelTranspose: Int8Array;
  /** [16] −1 for none. */
  readonly programOverride: Int16Array;

  /** Ring of the latest messages: [RECENT_COUNT] packed status<<16 | data1<<8 | data2, and run time (µs). */
  readonly recent: Uint32Array;
  readonly recentMicros: Float64Array;
  /**
   * Ring of wire bytes in slots of LOAD_SLOT_MICROS by run time: slot i counts run time slot i mod LOAD_SLOTS.
   * All outputs together; each one's own is in `ports`.
   */
  readonly loadBytes: Uint32Array;
  /** [MOST_PORTS] the outputs in the order they were named; the first `Slot.portCount` of them are in use. */
  readonly ports: readonly PortState[];
}

export const RECENT_COUNT = 512;
export const LOAD_SLOT_MICROS = 20_000;
export const LOAD_SLOTS = 512;
export const NEVER_SEEN = 255;

/** Places in `ObservedState.numbers`. */
export const Slot = {
  revision: 0,
  ...TransportSlot,
  messagesSent: 8,
  noteOnsSent: 9,
  bytesSent: 10,
  /** Run time (µs) at which the wire will have sent all that it was handed; of several, the last one. */
  wireFreeMicros: 11,
  /** Highest bytes in any 100 ms window (of whole load slots), as a share of what all wires can carry. */
  peakLoad: 12,
  /** The worst onset on any wire so far (see `foldOnsetLateness`), and the song time of it. */
  worstOnsetLatenessMicros: 13,
  worstOnsetSongMicros: 14,
  /** How late the sending thread handed over: latest and worst. */
  handoverLatenessMicros: 15,
  worstHandoverLatenessMicros: 16,
  /** The worst of what troubles any port: one of `PortTrouble`. */
  portTrouble: 19,
  /** Next row of `recent` to be written, counted without wrapping. */
  recentNext: 20,
  /** Bytes a second that all wires carry; microseconds a byte of the fastest. */
  bytesPerSecond: 22,
  microsPerByte: 23,
  /** Latest slot of `loadBytes` written, counted without wrapping; older ones than LOAD_SLOTS are gone. */
  loadSlot: 25,
  /** Outputs in use: rows of `ports`. 0 when listening. */
  portCount: 26,
  /** A clock that is followed (see `core/follow`): one of `Follow`; 0 where none is. */
  followState: 40,
  /** Microseconds from pulse to pulse; 0 while not known. */
  followPeriodMicros: 41,
  /** Run time (µs) of the latest pulse. */
  followLastMicros: 42,
  /** Where it comes from: one of `ClockInput`. */
  followInput: 43,
  /** 1 while a person has paused the music, and the clock goes on without it. */
  followOut: 44,
  /** Pulses so far, and times they failed to come. */
  followClocks: 45,
  followLosses: 46,
  /** Mean absolute jitter of late. */
  followSpreadMicros: 47,
} as const;

export const SLOT_COUNT = 64;
