import { CHUNK_HEAD, isAlienChunkAt, isSongChunkAt, MTHD, nextSongChunk, read32 } from './chunk.ts';
import { FindingList } from './finding-list.ts';
import { readHeader, type SongHeader } from './read-header.ts';
import { readTrack } from './read-track.ts';
import type { Song } from './song.ts';
import { MOST_EVENTS, SongColumns } from './song-columns.ts';
import { findSongExtent, type SongExtent } from './song-extent.ts';
import { SONG_FINDINGS, type SongFindingCode } from './song-findings.ts';
import { UnreadableSong } from './unreadable-song.ts';

type Findings = FindingList<SongFindingCode>;

/** What the header's 16-bit count can say. */
const MOST_TRACKS = 65_535;

/**
 * Reads a Standard MIDI File of any format, in a RIFF wrapper or bare, sound or damaged. The bytes are not
 * copied: payloads point into them, so they must not change afterwards.
 *
 * Source: Standard MIDI-File Format Spec. 1.1. Whatever departs from it becomes a finding.
 * @throws {UnreadableSong} when there is nothing in the bytes that could be played
 */
export function readSong(bytes: Uint8Array): Song {
  if (bytes.length === 0) {
    throw new UnreadableSong(0, 'The file is empty.', 'Copy it again from where it came from.');
  }
  const columns = new SongColumns(bytes.length);
  let from = 0;
  for (;;) {
    const findings: Findings = new FindingList(SONG_FINDINGS);
    const extent = findSongExtent(bytes, from, findings);
    if (extent === undefined) throw nothingToPlay(bytes, from);
    columns.forgetTracks();
    const header = readHeader(bytes, extent.start, extent.end, findings);
    const next = readTracks(bytes, header, extent, columns, findings);
    if (columns.count > 0) {
      reportCounts(header, columns, extent, findings);
      return {
        format: header.format,
        division: header.division,
        events: columns.events(),
        payloads: columns.payloads(),
        trackStart: columns.trackStarts(),
        bytes,
        findings: findings.toArray(),
      };
    }
    // A header with nothing behind it, or the letters of one in other data: the song may come later.
    from = Math.max(next, extent.start + 4);
  }
}

/** @returns offset at which reading ended: the end, or a second song's header */
function readTracks(
  bytes: Uint8Array,
  header: SongHeader,
  { end }: SongExtent,
  columns: SongColumns,
  findings: Findings,
): number {
  let at = header.next;
  while (at < end && !columns.isFull) {
    if (isSongChunkAt(bytes, at, end)) {
      if (read32(bytes, at) === MTHD) {
        findings.add('second-song', at);
        return at;
      }
      if (columns.trackCount === MOST_TRACKS) {
        findings.add('tracks-too-many', at, { limit: MOST_TRACKS });
        return end;
      }
      at = readTrack(bytes, at, end, columns, findings);
    } else if (isAlienChunkAt(bytes, at, end)) {
      const count = read32(bytes, at + 4);
      findings.add('alien-chunk', at, { name: String.fromCharCode(...bytes.subarray(at, at + 4)), count });
      at += CHUNK_HEAD + count;
    } else {
      const next = nextSongChunk(bytes, at, end);
      if (next < 0) {
        findings.add('trailing-bytes', at, { count: end - at });
        return end;
      }
      findings.add('bytes-between-chunks', at, { count: next - at });
      at = next;
    }
  }
  if (columns.isFull) findings.add('events-too-many', at, { limit: MOST_EVENTS });
  return end;
}

function reportCounts(
  header: SongHeader,
  columns: SongColumns,
  extent: SongExtent,
  findings: Findings,
): void {
  const found = columns.trackCount;
  const { format, tracks: said } = header;
  if (said >= 0 && said !== found) findings.add('track-count', extent.start + 10, { said, found });
  if (format === 0 && found > 1) findings.add('format-0-tracks', extent.start + 8, { found });
}

function nothingToPlay(bytes: Uint8Array, from: number): UnreadableSong {
  const nextStep = 'Give a Standard MIDI File (.mid, .midi, .kar, .rmi, .smf).';
  if (from > 0)
    return new UnreadableSong(from, 'There is a MIDI header or track, but no event in it.', nextStep);
  const reason = looksLikeText(bytes)
    ? 'This is a text file, not a MIDI file.'
    : 'There is no MIDI header or track in it.';
  return new UnreadableSong(0, reason, nextStep);
}

function looksLikeText(bytes: Uint8Array): boolean {
  return bytes.subarray(0, 512).every((byte) => byte >= 0x20 || (byte >= 0x09 && byte <= 0x0d));
}
