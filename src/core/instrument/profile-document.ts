/**
 * A profile as it stands in a TOML file (docs/instruments.md), read but not yet understood. Channels are counted
 * from 1; programs from `count-from`. Every field may be missing: what is unsaid is General MIDI Level 1.
 */
export interface ProfileDocument {
  readonly instrument?: InstrumentTable | undefined;
  readonly bank?: readonly BankTable[] | undefined;
  readonly drums?: DrumsTable | undefined;
}

export interface InstrumentTable {
  readonly name?: string | undefined;
  readonly voices?: number | undefined;
  readonly 'voices-each'?: number | undefined;
  readonly parts?: number | undefined;
  readonly channels?: readonly number[] | undefined;
  readonly keys?: readonly number[] | undefined;
  readonly full?: 'oldest' | 'released' | 'newest' | undefined;
  readonly 'release-ms'?: number | undefined;
  readonly 'bend-range'?: number | undefined;
  readonly controllers?: readonly number[] | undefined;
  /** As `0/0`: CC 101 / CC 100. */
  readonly rpn?: readonly string[] | undefined;
  readonly resets?:
    | readonly ('gm1' | 'gm2' | 'reset-all-controllers' | 'all-notes-off' | 'all-sound-off')[]
    | undefined;
  readonly 'running-status'?: boolean | undefined;
  readonly 'count-from'?: number | undefined;
  readonly quirks?: readonly string[] | undefined;
  readonly pauses?: PausesTable | undefined;
}

export interface PausesTable {
  readonly 'after-reset-ms'?: number | undefined;
  readonly 'after-program-ms'?: number | undefined;
  readonly 'after-sysex-ms'?: number | undefined;
  readonly 'between-bytes-ms'?: number | undefined;
}

export interface BankTable {
  readonly name?: string | undefined;
  readonly msb?: number | undefined;
  readonly lsb?: number | undefined;
  readonly 'count-from'?: number | undefined;
  /** The 128 programs of General MIDI, by their names. */
  readonly 'general-midi'?: boolean | undefined;
  /** Names in order, the first at `count-from`; '' where there is no sound. */
  readonly programs?: readonly string[] | undefined;
  readonly program?: readonly ProgramTable[] | undefined;
}

export interface ProgramTable {
  readonly number: number;
  readonly name?: string | undefined;
  /** General MIDI's number, 1–128, of what it stands nearest to. */
  readonly like?: number | undefined;
  readonly keys?: readonly number[] | undefined;
  readonly 'voices-each'?: number | undefined;
}

export interface DrumsTable {
  readonly channels?: readonly number[] | undefined;
  /** Key → name. */
  readonly keys?: Readonly<Record<string, string>> | undefined;
  /** Kit number → name. */
  readonly kits?: Readonly<Record<string, string>> | undefined;
}
