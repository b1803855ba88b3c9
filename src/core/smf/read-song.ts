import { FindingList } from './finding-list.ts';
import { readChunks } from './read-chunks.ts';
import { readHeader, type SongHeader } from './read-header.ts';
import type { Song } from './song.ts';
import { mostEventsIn, SongColumns } from './song-columns.ts';
import { findSongExtent, type SongExtent } from './song-extent.ts';
import { SONG_FINDINGS, type SongFindingCode } from './song-findings.ts';
import { UnreadableSong } from './unreadable-song.ts';

type Findings = FindingList<SongFindingCode>;

/** Headers with nothing behind them that are passed over in the search for one with a song. */
const MOST_BEGINNINGS = 1000;

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
  const columns = new SongColumns(mostEventsIn(bytes.length));
  let from = 0;
  for (let beginning = 0; beginning < MOST_BEGINNINGS; beginning += 1) {
    const findings: Findings = new FindingList(SONG_FINDINGS);
    const extent = findSongExtent(bytes, from, findings);
    if (extent === undefined) break;
    columns.forgetTracks();
    const header = readHeader(bytes, extent.start, extent.end, findings);
    const next = readChunks(bytes, header.next, extent.end, columns, findings);
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
  throw nothingToPlay(bytes, from);
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
