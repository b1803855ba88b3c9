/**
 * The recovery journal (RFC 6295, section 5 and appendix A): what a receiver that lost packets needs to be where the
 * sender is. Every packet has one; it tells what the stream has said from the checkpoint packet on up to, and without,
 * the packet it stands in. The system journal is not written, and passed over where another sender writes it.
 */
export interface Journal {
  /** Sequence number of the first packet that the journal covers. */
  readonly checkpoint: number;
  readonly channels: readonly ChannelJournal[];
}

/** What one channel's journal says. A chapter that is not there says nothing. */
export interface ChannelJournal {
  readonly channel: number;
  /** Chapter P. `bank` MSB << 7 | LSB, undefined where none was in force. */
  readonly program?: { readonly number: number; readonly bank: number | undefined };
  /** Chapter C: the last value of a controller, or how often (mod 64) it came. */
  readonly controllers: readonly ControllerLog[];
  /** Chapter M. */
  readonly parameters: readonly ParameterLog[];
  /** Chapter M: the last of `parameters` is the one that data entry goes to. */
  readonly isLastSelected: boolean;
  /** Chapter W: 0–16383. */
  readonly bend?: number;
  /** Chapter N: keys whose last message was a note-on; `play` where it is not too late to strike it. */
  readonly struck: readonly { readonly key: number; readonly velocity: number; readonly play: boolean }[];
  /** Chapter N: keys whose last message was a note-off. */
  readonly released: readonly number[];
  /** Chapter T. */
  readonly pressure?: number;
  /** Chapter A. */
  readonly keyPressure: readonly { readonly key: number; readonly pressure: number }[];
}

export interface ControllerLog {
  readonly number: number;
  readonly tool: 'value' | 'count' | 'toggle';
  readonly value: number;
}

export interface ParameterLog {
  readonly isNonRegistered: boolean;
  /** MSB << 7 | LSB. */
  readonly number: number;
  readonly msb?: number;
  readonly lsb?: number;
  /** Increments less decrements since the last data entry. */
  readonly steps?: number;
}

/** Bits of a channel journal's table of contents, in the order the chapters stand. */
export const Chapter = {
  program: 0x80,
  controllers: 0x40,
  parameters: 0x20,
  bend: 0x10,
  notes: 0x08,
  extras: 0x04,
  pressure: 0x02,
  keyPressure: 0x01,
} as const;

/** Bits of a parameter log's flags. */
export const ParameterField = {
  entryMsb: 0x80,
  entryLsb: 0x40,
  buttonA: 0x20,
  buttonC: 0x10,
  count: 0x08,
  isCount: 0x04,
  isValue: 0x02,
} as const;

/** Ten bits of length. */
export const LONGEST_CHANNEL_JOURNAL = 1023;
