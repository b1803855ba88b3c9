import type { Song } from '../smf/song.ts';
import type { MergedTracks } from './merge-tracks.ts';
import type { MetaFacts } from './meta-facts.ts';
import { META_READERS } from './meta-readers.ts';
import { DEFAULT_MICROS_PER_QUARTER } from './ticks-per-quarter.ts';
import type { TimelineFindings } from './timeline-finding.ts';

const META = 0xff;
const CHANNEL_PREFIX = 0x20;

/** Reads the meta events of a song in playing order. */
export function metaFactsOf(song: Song, merged: MergedTracks, findings: TimelineFindings): MetaFacts {
  const tracks = Math.max(0, song.trackStart.length - 1);
  const facts: MetaFacts = {
    tempos: [],
    meters: [],
    markers: [],
    cues: [],
    lyrics: [],
    keySignatures: [],
    trackNames: new Array<string>(tracks).fill(''),
    trackPorts: new Array<number | undefined>(tracks).fill(undefined),
    copyright: '',
  };
  const { metas, patternTick } = merged;
  const prefixEnd = new Uint32Array(tracks);
  let patterns = 0;
  for (let index = 0; index < metas.count; index += 1) {
    const row = metas.row[index]!;
    const track = metas.track[index]!;
    for (; patterns <= track && patterns < patternTick.length; patterns += 1) {
      startPattern(facts, patternTick[patterns]!);
    }
    const type = song.events.data1[row]!;
    if (type === CHANNEL_PREFIX) prefixEnd[track] = endOfPrefix(song, row, track);
    const read = META_READERS[type];
    if (!read) continue;
    const payload = song.events.payload[row]!;
    const start = song.payloads.start[payload] ?? 0;
    const length = song.payloads.length[payload] ?? 0;
    const underPrefix = row < prefixEnd[track]!;
    read({ song, tick: metas.tick[index]!, track, start, length, underPrefix, findings }, facts);
  }
  return facts;
}

/** Each pattern of a format 2 song has its own tempo and meter, or the default ones (SMF 1.1, section 2.2). */
function startPattern(facts: MetaFacts, tick: number): void {
  facts.tempos.push({ tick, microsPerQuarter: DEFAULT_MICROS_PER_QUARTER });
  facts.meters.push({ tick, numerator: 4, denominator: 4 });
}

/** A prefix holds until the next channel message or prefix of its track (SMF 1.1, section 3.1). */
function endOfPrefix({ events, trackStart }: Song, prefixRow: number, track: number): number {
  const { status, data1 } = events;
  const end = trackStart[track + 1]!;
  let row = prefixRow + 1;
  while (row < end && status[row]! >= 0xf0 && !(status[row] === META && data1[row] === CHANNEL_PREFIX))
    row += 1;
  return row;
}
