import { parseMidi } from 'midi-file';
import { expect, test } from 'vitest';
import { rehearseCheck, smallSong } from '../../src/check/check-rehearsal.ts';
import { checkSong } from '../../src/core/report/check-song.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';

test('the song of the rehearsal holds every kind of message, as another reader sees it', () => {
  const kinds = new Set(parseMidi(smallSong()).tracks.flatMap((track) => track.map(({ type }) => type)));
  for (const kind of [
    'noteOn',
    'noteOff',
    'noteAftertouch',
    'controller',
    'programChange',
    'channelAftertouch',
    'pitchBend',
    'sysEx',
    'setTempo',
    'timeSignature',
    'keySignature',
    'marker',
    'lyrics',
    'cuePoint',
    'portPrefix',
  ])
    expect(kinds).toContain(kind);
});

test('and leads the check into its rare branches: late chords, thinning, hanging notes, several ports', () => {
  const song = readSong(smallSong());
  const check = checkSong('', song, buildTimeline(song));
  expect(check.wire.packed.worstOnsetLatenessMicros).toBeGreaterThan(20_000);
  expect(check.wire.thinned?.dropped).toBeGreaterThan(0);
  expect(check.wire.changed).not.toBeNull();
  expect(check.notes.neverReleased).toBeGreaterThan(0);
  expect(check.song.ports).toEqual([0, 1]);
  expect(() => rehearseCheck({})).not.toThrow();
});
