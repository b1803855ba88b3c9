import { GM_DRUM_CHANNELS } from '../../instrument/general-midi.ts';

/** What the packed plan may do. Times in microseconds of song time. */
export interface PackOptions {
  /** Note-ons may leave this long before their moment: chords are then centred on it. 0 = never early. */
  readonly earlyMicros?: number;
  /** Before the song's first moment, the wire may be used this long to set channels up. */
  readonly leadInMicros?: number;
  /** A message that a silent channel needs may move early by this much. */
  readonly setupEarlyMicros?: number;
  /**
   * On a sounding channel, a controller, bend or pressure may come early by this much where the wire is busy at
   * its moment, never before a note.
   */
  readonly stateEarlyMicros?: number;
  /**
   * A note-off that must come before the same key's next strike may come early by this much, and never before
   * the middle of its note.
   */
  readonly offEarlyMicros?: number;
  /** Note-offs and the like give way to note-ons for so long; then they go first. */
  readonly yieldMicros?: number;
  /**
   * Within one moment, set a channel up before its notes even where the file does it between them. The one
   * option that lets a note begin in another state than the file's order gives it; see docs/wire.md.
   */
  readonly setupFirst?: boolean;
  /** Take the file's own order, or no early notes, where packing would be worse than that. */
  readonly fallBack?: boolean;
  /** The makers' own SysEx will be sent too (`--allow-sysex`). */
  readonly allowSysEx?: boolean;
  /** Silence kept after a reset message. */
  readonly settleMicros?: number;
  /** Bits of the channels that play drums, which lead a chord. */
  readonly drumChannels?: number;
}

/**
 * Defaults. The lead-in and the setup time hold the largest setup seen in practice (16 channels of 20 messages
 * are 0.3 s of wire) with room to spare. 30 ms early and 20 ms late are within the 27–49 ms by which players in real
 * trios are apart without being heard as uneven (Rasch 1979).
 */
export const PACK_DEFAULTS: Required<PackOptions> = {
  earlyMicros: 0,
  leadInMicros: 2_000_000,
  setupEarlyMicros: 1_000_000,
  stateEarlyMicros: 10_000,
  offEarlyMicros: 30_000,
  yieldMicros: 20_000,
  setupFirst: true,
  fallBack: true,
  allowSysEx: false,
  settleMicros: 0,
  drumChannels: GM_DRUM_CHANNELS,
};

/** The options with what is not given put in; always of one hidden class (see `timelineColumns`). */
export function packSettings(options: PackOptions): Required<PackOptions> {
  const defaults = PACK_DEFAULTS;
  return {
    earlyMicros: options.earlyMicros ?? defaults.earlyMicros,
    leadInMicros: options.leadInMicros ?? defaults.leadInMicros,
    setupEarlyMicros: options.setupEarlyMicros ?? defaults.setupEarlyMicros,
    stateEarlyMicros: options.stateEarlyMicros ?? defaults.stateEarlyMicros,
    offEarlyMicros: options.offEarlyMicros ?? defaults.offEarlyMicros,
    yieldMicros: options.yieldMicros ?? defaults.yieldMicros,
    setupFirst: options.setupFirst ?? defaults.setupFirst,
    fallBack: options.fallBack ?? defaults.fallBack,
    allowSysEx: options.allowSysEx ?? defaults.allowSysEx,
    settleMicros: options.settleMicros ?? defaults.settleMicros,
    drumChannels: options.drumChannels ?? defaults.drumChannels,
  };
}
