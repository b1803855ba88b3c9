/** What is known of the line behind a port. The model, the meter and the plan all follow it. */
export interface WireTraits {
  /** Bits a second. MIDI 1.0: 31,250 ± 1 %. */
  readonly baud: number;
  /** Bits that one byte takes on the line: start + 8 data + stop = 10 (MIDI 1.0, p. 1). */
  readonly bitsPerByte: number;
  /**
   * Who decides on running status: `ours` = the bytes go out as we encode them (a UART), so we use it;
   * `device` = the interface encodes for itself; nothing is known, so every message is counted whole.
   */
  readonly runningStatus: 'ours' | 'device';
  /** Rest a slow receiver wants after each message, in microseconds; 0 for none. */
  readonly gapMicros: number;
  /** Rests that the instrument needs besides (`wireFor`), in microseconds; none where left out. */
  /** A message leaves in one piece, so what its bytes want is kept after it. */
  readonly betweenBytesMicros?: number;
  readonly afterProgramMicros?: number;
  readonly afterSysExMicros?: number;
}

/** The MIDI 1.0 wire: 31,250 baud, ten bits a byte, so 320 µs a byte and 3,125 bytes a second. */
export const MIDI_WIRE: WireTraits = { baud: 31_250, bitsPerByte: 10, runningStatus: 'ours', gapMicros: 0 };

/** From the beginning of one byte to the earliest beginning of the next. */
export function microsPerByte(traits: WireTraits): number {
  return (traits.bitsPerByte * 1_000_000) / traits.baud + (traits.betweenBytesMicros ?? 0);
}
