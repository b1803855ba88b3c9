import type { Song } from '../smf/song.ts';
import { decodeText } from '../smf/text.ts';
import type { Meta, MetaFacts, TextAtTick } from './meta-facts.ts';
import type { TimelineFindingCode } from './timeline-finding.ts';

/** Far above any song; below what would fill memory. */
const MOST_TEXTS = 100_000;
/** 2¹⁰: a beat shorter than that is shorter than a tick of any usual division. */
const MOST_DENOMINATOR_POWER = 10;
const MOST_SHARPS = 7;

/**
 * Who reads which meta type (SMF 1.1, section 3.1; 33 is common practice, never standardised). Types that are
 * not here say nothing a player needs; they stay in the song.
 */
export const META_READERS: Readonly<Record<number, (meta: Meta, facts: MetaFacts) => void>> = {
  2: (meta, facts) => {
    facts.copyright ||= textOf(meta);
  },
  3: (meta, facts) => {
    if (!meta.underPrefix) facts.trackNames[meta.track] ||= textOf(meta);
  },
  5: (meta, facts) => addText(meta, facts.lyrics),
  6: (meta, facts) => addText(meta, facts.markers),
  7: (meta, facts) => addText(meta, facts.cues),
  33: ({ song, start, length, track }, facts) => {
    if (length > 0) facts.trackPorts[track] ??= song.bytes[start]!;
  },
  81: readTempo,
  88: readMeter,
  89: readKeySignature,
};

function textOf({ song: { bytes }, start, length }: Meta): string {
  return decodeText(bytes, start, length);
}

function addText(meta: Meta, texts: TextAtTick[]): void {
  if (texts.length < MOST_TEXTS) texts.push({ tick: meta.tick, track: meta.track, text: textOf(meta) });
  else meta.findings.add('too-many-texts', meta.start, () => ({ limit: MOST_TEXTS }));
}

/** In format 1 the tempo map belongs in the first track (SMF 1.1, section 2.2); many a file has it elsewhere. */
function readTempo(meta: Meta, facts: MetaFacts): void {
  const { song, tick, track, start, findings } = meta;
  const microsPerQuarter = microsPerQuarterOf(meta);
  const trouble = tempoTrouble(song, microsPerQuarter);
  if (trouble) {
    findings.add(trouble, start, (place) => ({ place: place(tick) }));
    return;
  }
  if (song.format === 1 && track > 0) {
    findings.add('tempo-outside-first-track', start, (place) => ({ place: place(tick), track: track + 1 }));
  }
  facts.tempos.push({ tick, microsPerQuarter });
}

function microsPerQuarterOf({ song: { bytes }, start, length }: Meta): number {
  return length < 3 ? Number.NaN : (bytes[start]! << 16) | (bytes[start + 1]! << 8) | bytes[start + 2]!;
}

function tempoTrouble(song: Song, microsPerQuarter: number): TimelineFindingCode | undefined {
  if (Number.isNaN(microsPerQuarter)) return 'tempo-cut-short';
  if (microsPerQuarter === 0) return 'tempo-zero';
  return song.division.kind === 'smpte' ? 'tempo-without-effect' : undefined;
}

function readMeter({ song, tick, start, length, findings }: Meta, facts: MetaFacts): void {
  const numerator = length > 0 ? song.bytes[start]! : 0;
  const power = length > 1 ? song.bytes[start + 1]! : Number.POSITIVE_INFINITY;
  if (numerator > 0 && power <= MOST_DENOMINATOR_POWER) {
    facts.meters.push({ tick, numerator, denominator: 2 ** power });
  } else findings.add('meter-absurd', start, (place) => ({ place: place(tick) }));
}

function readKeySignature({ song, tick, start, length, findings }: Meta, facts: MetaFacts): void {
  const sharps = length > 0 ? (song.bytes[start]! << 24) >> 24 : Number.NaN;
  const mode = length > 1 ? song.bytes[start + 1]! : 0;
  if (Math.abs(sharps) <= MOST_SHARPS && mode <= 1) {
    facts.keySignatures.push({ tick, sharps, minor: mode === 1 });
  } else findings.add('key-signature-absurd', start, (place) => ({ place: place(tick) }));
}
