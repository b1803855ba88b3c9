import { hexText } from '../midi/hex-text.ts';

/**
 * Meta events by type (SMF 1.1, section 3.1; 08 and 09: RP-019, from memory; 21 was never standardised but is
 * widely seen).
 */
export interface MetaKind {
  readonly name: string;
  /** Lengths the standard allows; none given where any length is right. */
  readonly lengths?: readonly number[];
  readonly text?: true;
}

export const Meta = {
  sequenceNumber: 0x00,
  text: 0x01,
  copyright: 0x02,
  trackName: 0x03,
  instrument: 0x04,
  lyric: 0x05,
  marker: 0x06,
  cuePoint: 0x07,
  programName: 0x08,
  deviceName: 0x09,
  channelPrefix: 0x20,
  port: 0x21,
  endOfTrack: 0x2f,
  tempo: 0x51,
  smpteOffset: 0x54,
  timeSignature: 0x58,
  keySignature: 0x59,
  sequencerSpecific: 0x7f,
} as const;

const KNOWN: Readonly<Record<number, MetaKind>> = {
  // No length means "number this sequence by its place in the file".
  [Meta.sequenceNumber]: { name: 'Sequence Number', lengths: [2, 0] },
  [Meta.text]: { name: 'Text', text: true },
  [Meta.copyright]: { name: 'Copyright Notice', text: true },
  [Meta.trackName]: { name: 'Sequence/Track Name', text: true },
  [Meta.instrument]: { name: 'Instrument Name', text: true },
  [Meta.lyric]: { name: 'Lyric', text: true },
  [Meta.marker]: { name: 'Marker', text: true },
  [Meta.cuePoint]: { name: 'Cue Point', text: true },
  [Meta.programName]: { name: 'Program Name', text: true },
  [Meta.deviceName]: { name: 'Device Name', text: true },
  [Meta.channelPrefix]: { name: 'Channel Prefix', lengths: [1] },
  [Meta.port]: { name: 'Port Number', lengths: [1] },
  [Meta.endOfTrack]: { name: 'End of Track', lengths: [0] },
  [Meta.tempo]: { name: 'Set Tempo', lengths: [3] },
  [Meta.smpteOffset]: { name: 'SMPTE Offset', lengths: [5] },
  [Meta.timeSignature]: { name: 'Time Signature', lengths: [4] },
  [Meta.keySignature]: { name: 'Key Signature', lengths: [2] },
  [Meta.sequencerSpecific]: { name: 'Sequencer-Specific' },
};

/** [128] one entry for each meta type. 01–0F are kept for text of one kind or another (SMF 3.1). */
export const META_KINDS: readonly MetaKind[] = Array.from({ length: 128 }, (_, type): MetaKind => {
  const known = KNOWN[type];
  if (known !== undefined) return known;
  if (type <= 0x0f) return { name: `Text ${hexText([type])}`, text: true };
  return { name: `Meta ${hexText([type])}` };
});
