import { createHash } from 'node:crypto';
import { createRequire } from 'node:module';
import { describe, expect, test } from 'vitest';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { NO_PARTNER, type Timeline } from '../../src/core/timeline/timeline.ts';
import { DEBIAN_SONGS, debianSongs, npmSongs, type PackageSong } from '../support/package-songs.ts';
import { firstDifference } from '../support/song-rows.ts';

/**
 * Note times in seconds beside two independent readers: JZZ's SMF module (jzz-midi-smf 1.9.9) on every file,
 * and @tonejs/midi 2.0.28 on those below 20,000 bytes, but for the ones listed here.
 */
const require = createRequire(import.meta.url);
const JZZ = require('jzz');
require('jzz-midi-smf')(JZZ);
const tone = require('@tonejs/midi');

/** Where @tonejs/midi pairs otherwise, and why, by the file's SHA-256. JZZ's check of the same files stands. */
const TONE_PAIRS_OTHERWISE: Readonly<Record<string, string>> = {
  ef2f2aa82bbb: 'one track plays two channels; it pairs keys across them',
  '65b3d5c237f6': 'one track plays two channels; it pairs keys across them',
  '432228ac821d': 'one track plays two channels; it pairs keys across them',
  '4a0429a27653': 'one track plays two channels; it pairs keys across them',
  '69a77830dad4': 'one track plays two channels; it pairs keys across them',
  '6007b981e40d': 'one track plays two channels; it pairs keys across them',
  b10c6205e3d4: 'one track plays two channels; it pairs keys across them',
  '0641a227115d': 'one track plays two channels; it pairs keys across them',
  '0c464dd925d5': 'two tracks hold one key of one channel; it pairs within a track',
  '9fe834072471': 'two tracks hold one key of one channel; it pairs within a track',
  a5778f445f31: 'two tracks hold one key of one channel; it pairs within a track',
  '950bf29993f8': 'two tracks hold one key of one channel; it pairs within a track',
  '1e72af4cf6eb': 'two tracks hold one key of one channel; it pairs within a track',
  ffa6906657b8: 'two tracks hold one key of one channel; it pairs within a track',
  '03b453a5dc11': 'two tracks hold one key of one channel; it pairs within a track',
  '10418b9ee951': 'a release stands before the strike of its tick; it is taken for that note',
};

/** @tonejs/midi takes seconds over the larger songs; about two in five are below this. */
const LARGEST_FOR_TONE = 20_000;

/** Half a microsecond of ours (whole microseconds), and what doubles lose over an hour. */
const TOLERANCE_SECONDS = 0.6e-6;

interface TimedNote {
  readonly channel: number;
  readonly key: number;
  readonly velocity: number;
  readonly on: number;
  /** Infinity where nothing releases it. */
  readonly off: number;
}

function ourNotes({ columns }: Timeline): TimedNote[] {
  const { count, status, data1, data2, micros, partner } = columns;
  const notes: TimedNote[] = [];
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0x90 || data2[row] === 0) continue;
    const release = partner[row]!;
    notes.push({
      channel: status[row]! & 15,
      key: data1[row]!,
      velocity: data2[row]!,
      on: micros[row]! / 1e6,
      off: release === NO_PARTNER ? Number.POSITIVE_INFINITY : micros[release]! / 1e6,
    });
  }
  return notes.sort(byPlace);
}

/** JZZ reads and times; pairing (first struck, first released) is done here over its events. */
function jzzNotes(bytes: Uint8Array): { notes: TimedNote[]; seconds: number } {
  const file = new JZZ.MIDI.SMF(Buffer.from(bytes).toString('latin1'));
  const events: { tick: number; bytes: ArrayLike<number> }[] = [];
  for (let index = 0; index < file.length; index += 1) {
    if (!(file[index] instanceof JZZ.MIDI.SMF.MTrk)) continue;
    const track = file[index];
    for (const event of track) events.push({ tick: event.tt, bytes: event });
    // The clock needs the meta events alone (tempo, end of track); it copies all it has, which takes seconds.
    track.splice(0, track.length, ...[...track].filter((event) => event.ff !== undefined));
  }
  const clock = file.player();
  events.sort((a, b) => a.tick - b.tick); // stable: equal ticks keep track order
  const notes: (TimedNote & { off: number })[] = [];
  const waiting = new Map<number, (TimedNote & { off: number })[]>();
  for (const { tick, bytes: event } of events) {
    const kind = (event[0] ?? 0) & 0xf0;
    if (kind !== 0x90 && kind !== 0x80) continue;
    const [channel, key, velocity] = [event[0]! & 15, event[1]!, event[2]!];
    const queue = waiting.get(channel * 128 + key) ?? [];
    waiting.set(channel * 128 + key, queue);
    const seconds = clock.tick2ms(tick) / 1000;
    if (kind === 0x90 && velocity > 0) {
      const note = { channel, key, velocity, on: seconds, off: Number.POSITIVE_INFINITY };
      notes.push(note);
      queue.push(note);
    } else {
      const note = queue.shift();
      if (note) note.off = seconds;
    }
  }
  return { notes: notes.sort(byPlace), seconds: clock.durationMS() / 1000 };
}

function toneNotes(bytes: Uint8Array): TimedNote[] {
  const notes: TimedNote[] = [];
  for (const track of new tone.Midi(bytes).tracks) {
    for (const { midi, velocity, time, duration } of track.notes) {
      const { channel } = track;
      notes.push({
        channel,
        key: midi,
        velocity: Math.round(velocity * 127),
        on: time,
        off: time + duration,
      });
    }
  }
  return notes.sort(byPlace);
}

/** Times that differ by rounding only count as equal, so that ties sort alike in both lists. */
function byPlace(a: TimedNote, b: TimedNote): number {
  const on = Math.round(a.on * 1e5) - Math.round(b.on * 1e5);
  return a.channel - b.channel || a.key - b.key || on || a.velocity - b.velocity || a.off - b.off;
}

function expectSameNotes(ours: readonly TimedNote[], theirs: readonly TimedNote[]): void {
  const what = ({ channel, key, velocity }: TimedNote) => `${channel} ${key} ${velocity}`;
  expect(firstDifference(ours.map(what), theirs.map(what))).toBeUndefined();
  const apart = ours.filter(({ on, off }, row) => {
    const other = theirs[row]!;
    const offApart = off === other.off ? 0 : Math.abs(off - other.off);
    return Math.abs(on - other.on) > TOLERANCE_SECONDS || offApart > TOLERANCE_SECONDS;
  });
  expect(apart).toEqual([]);
}

function compareWithBoth({ bytes }: PackageSong): void {
  const timeline = buildTimeline(readSong(bytes));
  const ours = ourNotes(timeline);
  expect(ours.length).toBeGreaterThan(10);

  const jzz = jzzNotes(bytes);
  expectSameNotes(ours, jzz.notes);
  expect(Math.abs(timeline.durationMicros / 1e6 - jzz.seconds)).toBeLessThan(TOLERANCE_SECONDS);

  if (bytes.length > LARGEST_FOR_TONE) return;
  const digest = createHash('sha256').update(bytes).digest('hex');
  if (TONE_PAIRS_OTHERWISE[digest.slice(0, 12)]) return;
  const released = ours.filter(({ off }) => off !== Number.POSITIVE_INFINITY); // it leaves the others out
  expectSameNotes(released, toneNotes(bytes));
}

describe('note times equal those of JZZ and @tonejs/midi: songs of npm packages', () => {
  test.each(npmSongs())('$name', compareWithBoth);
});

describe.skipIf(!DEBIAN_SONGS)('note times equal those of JZZ and @tonejs/midi: WIREPIT_SONGS', () => {
  test.each(debianSongs())('$name', compareWithBoth);
});
