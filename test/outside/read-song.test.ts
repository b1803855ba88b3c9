import { createRequire } from 'node:module';
import { type MidiEvent, parseMidi } from 'midi-file';
import { describe, expect, it } from 'vitest';
import { readSong } from '../../src/core/smf/read-song.ts';
import type { Song } from '../../src/core/smf/song.ts';
import { toHex } from '../support/hex.ts';
import { DEBIAN_SONGS, debianSongs, npmSongs, type PackageSong } from '../support/package-songs.ts';
import { firstDifference, songRows } from '../support/song-rows.ts';
import { FORMAT_0, FORMAT_1 } from '../support/worked-examples.ts';

// Against two independent readers, on every song that they read too: npm midi-file 1.2 and jzz-midi-smf 1.9.

const require = createRequire(import.meta.url);
const jzz = require('jzz');
require('jzz-midi-smf')(jzz);

const SONGS: readonly PackageSong[] = [
  { name: "the specification's format 0 example", bytes: FORMAT_0 },
  { name: "the specification's format 1 example", bytes: FORMAT_1 },
  ...npmSongs(),
  ...debianSongs(),
];

const STATUS_OF: Readonly<Record<string, number>> = {
  noteOff: 0x80,
  noteOn: 0x90,
  noteAftertouch: 0xa0,
  controller: 0xb0,
  programChange: 0xc0,
  channelAftertouch: 0xd0,
  pitchBend: 0xe0,
};

const TEXT_TYPES: readonly string[] = [
  'text',
  'copyrightNotice',
  'trackName',
  'instrumentName',
  'lyrics',
  'marker',
  'cuePoint',
];

/** What midi-file makes of an event, as status, data and the payload's bytes. */
function asBytes(event: MidiEvent): string {
  const e = event as unknown as Record<string, number> & {
    type: string;
    data: ArrayLike<number>;
    text: string;
  };
  const head = (status: number, data1 = 0, data2 = 0): string => toHex([status, data1, data2]);
  const metaOf = (type: number, payload: ArrayLike<number>): string =>
    `${head(0xff, type)} | ${toHex(Array.from(payload))}`.trimEnd();
  const status = STATUS_OF[e.type];
  if (status !== undefined) {
    const asNoteOn = e.type === 'noteOff' && 'byte9' in event;
    const channelStatus = (asNoteOn ? 0x90 : status) | e.channel!;
    if (e.type === 'pitchBend') return head(channelStatus, (e.value! + 8192) & 0x7f, (e.value! + 8192) >> 7);
    const first = e.noteNumber ?? e.controllerType ?? e.programNumber ?? e.amount!;
    const second = e.velocity ?? e.value ?? (e.type === 'noteAftertouch' ? e.amount! : 0);
    return head(channelStatus, first, second);
  }
  const text = TEXT_TYPES.indexOf(e.type);
  if (text >= 0)
    return metaOf(
      text + 1,
      Array.from(e.text, (c) => c.charCodeAt(0)),
    );
  switch (e.type) {
    case 'sequenceNumber':
      return metaOf(0, [e.number! >> 8, e.number! & 0xff]);
    case 'channelPrefix':
      return metaOf(0x20, [e.channel!]);
    case 'portPrefix':
      return metaOf(0x21, [e.port!]);
    case 'endOfTrack':
      return metaOf(0x2f, []);
    case 'setTempo':
      return metaOf(
        0x51,
        [16, 8, 0].map((shift) => (e.microsecondsPerBeat! >> shift) & 0xff),
      );
    case 'smpteOffset': {
      const rate = { 24: 0, 25: 0x20, 29: 0x40, 30: 0x60 }[e.frameRate!]!;
      return metaOf(0x54, [e.hour! | rate, e.min!, e.sec!, e.frame!, e.subFrame!]);
    }
    case 'timeSignature':
      return metaOf(0x58, [e.numerator!, Math.log2(e.denominator!), e.metronome!, e.thirtyseconds!]);
    case 'keySignature':
      return metaOf(0x59, [e.key! & 0xff, e.scale!]);
    case 'sequencerSpecific':
      return metaOf(0x7f, e.data);
    case 'unknownMeta':
      return metaOf(e.metatypeByte!, e.data);
    case 'sysEx':
      return `${head(0xf0)} | ${toHex(Array.from(e.data))}`;
    case 'endSysEx':
      return `${head(0xf7)} | ${toHex(Array.from(e.data))}`;
    default:
      throw new Error(`unknown to this test: ${e.type}`);
  }
}

/** `tick status data1 data2` of the channel messages of one track. */
function channelRows({ events, trackStart }: Song, track: number): string[] {
  const rows: string[] = [];
  for (let row = trackStart[track]!; row < trackStart[track + 1]!; row++) {
    if (events.status[row]! >= 0xf0) continue;
    const bytes = [events.status[row]!, events.data1[row]!, events.data2[row]!];
    rows.push(`${events.tick[row]} ${toHex(bytes)}`);
  }
  return rows;
}

function parsedOrNothing<T>(read: () => T): T | undefined {
  try {
    return read();
  } catch {
    return undefined;
  }
}

describe.each(SONGS)('$name', ({ bytes }) => {
  const song = readSong(bytes);

  it('as midi-file reads it, event for event', ({ skip }) => {
    const other = parsedOrNothing(() => parseMidi(bytes));
    if (other === undefined) return skip('midi-file throws');
    expect(song.format).toBe(other.header.format);
    if (song.division.kind === 'quarter')
      expect(song.division.ticksPerQuarter).toBe(other.header.ticksPerBeat);
    const rows = other.tracks.flatMap((events, track) => {
      let tick = 0;
      return events.map((event) => {
        tick += event.deltaTime;
        return `${track + 1}: ${tick} ${asBytes(event)}`;
      });
    });
    expect(firstDifference(songRows(song), rows)).toBeUndefined();
  });

  it('as JZZ reads it: every channel message at its tick', ({ skip }) => {
    const other = parsedOrNothing(() => new jzz.MIDI.SMF(Buffer.from(bytes).toString('latin1')));
    if (other === undefined) return skip('JZZ throws');
    expect(song.trackStart.length - 1).toBe(other.length);
    for (let track = 0; track < other.length; track++) {
      const rows: string[] = [];
      for (const message of other[track]) {
        if (message.length === 0 || message[0] >= 0xf0) continue;
        rows.push(`${message.tt} ${toHex([message[0], message[1], message[2] ?? 0])}`);
      }
      expect(firstDifference(channelRows(song, track), rows)).toBeUndefined();
    }
  });
});

describe('songs from Debian packages', () => {
  it.skipIf(DEBIAN_SONGS === undefined)('are there: 96 and more', () => {
    expect(debianSongs().length).toBeGreaterThanOrEqual(96);
  });
});
