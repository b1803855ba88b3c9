import { type MidiEvent, type MidiHeader, writeMidi } from 'midi-file';
import { CHUNK_HEAD } from './chunk.ts';
import { divisionWord } from './division.ts';
import { endOfTrackEvent, fileEvent, fillerEvent, type WritableSong } from './file-event.ts';
import { Meta } from './meta-kinds.ts';
import { LARGEST_LENGTH } from './track-cursor.ts';

export interface WriteOptions {
  /** Leave out a status byte that repeats the one before (SMF 1.1, section 2.3). On when not given. */
  readonly runningStatus?: boolean;
}

/**
 * midi-file copies all it has written of a track for each event with a long delta time or a text, so it is
 * handed a track in pieces of so many events: the time stays in proportion to the song.
 */
const PIECE = 512;

const HEADER_BYTES = 14;

/**
 * Writes a song as a Standard MIDI File. Reading it again gives the same song: same format, division, tracks
 * and events. What a file needs and a song may lack is added: an end-of-track, and, in a rest longer than a
 * delta time can say, empty text events.
 */
export function writeSong(song: WritableSong, options: WriteOptions = {}): Uint8Array {
  const trackCount = song.trackStart.length - 1;
  const parts: ArrayLike<number>[] = [headerBytes(song, trackCount)];
  for (let track = 0; track < trackCount; track += 1) {
    const pieces = trackPieces(song, track, options);
    const length = pieces.reduce((sum, piece) => sum + piece.length, 0);
    parts.push(chunkHead(length), ...pieces);
  }
  return joined(parts);
}

function headerBytes(song: WritableSong, trackCount: number): number[] {
  const timeDivision = divisionWord(song.division);
  // midi-file's types know formats 0 to 2; a file may name another, and writes it as it stands.
  const format = song.format as MidiHeader['format'];
  const tracks: MidiEvent[][] = Array.from({ length: trackCount }, () => []);
  return writeMidi({ header: { format, numTracks: trackCount, timeDivision }, tracks }).slice(
    0,
    HEADER_BYTES,
  );
}

/** The body of a track chunk, in pieces. */
function trackPieces(song: WritableSong, track: number, options: WriteOptions): number[][] {
  const pieces: number[][] = [];
  let events: MidiEvent[] = [];
  const end = song.trackStart[track + 1]!;
  let tick = 0;
  for (let row = song.trackStart[track]!; row < end; row += 1) {
    let delta = song.events.tick[row]! - tick;
    tick += delta;
    for (; delta > LARGEST_LENGTH; delta -= LARGEST_LENGTH) events.push(fillerEvent(LARGEST_LENGTH));
    events.push(fileEvent(song, row, delta));
    if (events.length >= PIECE) {
      pieces.push(pieceBytes(events, options));
      events = [];
    }
  }
  if (!endsTrack(song, track)) events.push(endOfTrackEvent(0));
  pieces.push(pieceBytes(events, options));
  return pieces;
}

function endsTrack({ events, trackStart }: WritableSong, track: number): boolean {
  const last = trackStart[track + 1]! - 1;
  return last >= trackStart[track]! && events.status[last] === 0xff && events.data1[last] === Meta.endOfTrack;
}

function pieceBytes(events: MidiEvent[], { runningStatus = true }: WriteOptions): number[] {
  const file = writeMidi(
    { header: { format: 0, numTracks: 1, ticksPerBeat: 1 }, tracks: [events] },
    { running: runningStatus, useByte9ForNoteOff: false },
  );
  return file.slice(HEADER_BYTES + CHUNK_HEAD);
}

function chunkHead(length: number): number[] {
  return writeMidi({ header: { format: 0, numTracks: 1, ticksPerBeat: 1 }, tracks: [[]] })
    .slice(HEADER_BYTES, HEADER_BYTES + 4)
    .concat([length >>> 24, (length >>> 16) & 0xff, (length >>> 8) & 0xff, length & 0xff]);
}

function joined(parts: readonly ArrayLike<number>[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}
