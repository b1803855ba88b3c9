import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { SONGS } from '../../songs/song-list.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { INSTRUMENT_RANGES } from './instrument-ranges.ts';
import { songFacts } from './song-facts.ts';

const committed = (file: string) =>
  new Uint8Array(readFileSync(new URL(`../../songs/${file}`, import.meta.url)));
const timelineOf = (file: string) => buildTimeline(readSong(committed(file)));
const CLEAN = ['tide-study.mid', 'lamplight-parade.mid', 'night-ferry.mid'];

/** Voices that every General MIDI module has (GM System Level 1). */
const GM_VOICES = 24;

describe('songs are what their scores say', () => {
  test.each(SONGS.map(({ file, bytes }) => [file, bytes] as const))('%s: byte for byte', (file, bytes) => {
    expect(Buffer.from(committed(file)).equals(bytes())).toBe(true);
  });

  test.each(SONGS.map(({ file }) => file))('%s: sound for two outside readers', (file) => {
    const bytes = committed(file);
    const notes = parseMidi(bytes)
      .tracks.flat()
      .filter((event) => event.type === 'noteOn').length;
    const { columns } = timelineOf(file);
    const ours = columns.status.filter((status, row) => (status & 0xf0) === 0x90 && columns.data2[row]! > 0);
    expect(ours.length).toBe(notes);

    const require = createRequire(import.meta.url);
    const JZZ = require('jzz');
    require('jzz-midi-smf')(JZZ);
    const warnings = new JZZ.MIDI.SMF(Buffer.from(bytes).toString('latin1')).validate();
    expect(warnings).toBeUndefined(); // JZZ's way to say that all is well
    expect(readSong(bytes).findings).toEqual([]);
  });
});

describe.each(CLEAN)('%s is clean', (file) => {
  const timeline = timelineOf(file);
  const facts = songFacts(timeline);

  test('nothing hangs, nothing is struck twice, every pedal comes up', () => {
    expect(timeline.findings).toEqual([]);
  });

  test('any General MIDI module has the voices for it, pedal included', () => {
    expect(facts.mostVoices).toBeGreaterThan(3);
    expect(facts.mostVoices).toBeLessThanOrEqual(GM_VOICES);
  });

  test('every instrument stays in its range, every drum in the GM map (keys 35 to 81)', () => {
    const outside = [...facts.keysByProgram].filter(([program, [low, high]]) => {
      const [lowest, highest] = INSTRUMENT_RANGES[program]!;
      return low < lowest || high > highest;
    });
    expect(outside).toEqual([]);
    for (const key of facts.drumKeys) expect(key >= 35 && key <= 81).toBe(true);
  });
});

describe('tide-study.mid', () => {
  const timeline = timelineOf('tide-study.mid');
  const facts = songFacts(timeline);

  test('one piano, pedalled, in three parts, a minute and a half to two and a little', () => {
    expect([...facts.channels]).toEqual([0]);
    expect(facts.controllers.has(64)).toBe(true);
    expect(timeline.markers.map(({ text }) => text[0])).toEqual(['A', 'B', 'A']);
    expect(timeline.durationMicros / 1e6).toBeGreaterThan(90);
    expect(timeline.durationMicros / 1e6).toBeLessThan(125);
  });

  test('rubato: the tempo is hardly ever still', () => {
    expect(timeline.tempoMap.stretches.length).toBeGreaterThan(50);
  });
});

describe('lamplight-parade.mid', () => {
  const timeline = timelineOf('lamplight-parade.mid');
  const facts = songFacts(timeline);

  test('plays on sixteen channels for two to three minutes', () => {
    expect(facts.channels.size).toBe(16);
    expect(timeline.durationMicros / 1e6).toBeGreaterThan(120);
    expect(timeline.durationMicros / 1e6).toBeLessThan(180);
  });

  test('resets the module first and lets it settle for 100 ms', () => {
    const { columns } = timeline;
    const start = columns.payloadStart[0]!;
    expect([columns.status[0], ...columns.payloadBytes.slice(start, start + 5)]).toEqual([
      0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7,
    ]);
    expect(columns.micros[1]).toBeGreaterThan(100_000);
    expect(facts.firstNote).toBeGreaterThan(0.5);
  });

  test('changes programs in mid-song, bends within a range it set, sings, changes meter and key', () => {
    expect([...facts.programs.values()].filter((list) => list.length > 1).length).toBeGreaterThan(6);
    expect(facts.bends).toBeGreaterThan(50);
    for (const controller of [1, 6, 7, 10, 11, 64, 91, 93, 100, 101])
      expect(facts.controllers).toContain(controller);
    expect(timeline.lyrics.length).toBeGreaterThan(120);
    expect(timeline.lyrics.map(({ text }) => text).join('')).toContain('Lan-terns light the har-bour wall');
    expect(timeline.markers).toHaveLength(7);
    expect(timeline.keySignatures.length).toBeGreaterThan(2);
    expect(timeline.meterMap.changes.map(({ numerator }) => numerator)).toEqual([1, 4, 3, 4]);
  });

  test('no two bars of the tutti are struck alike: velocities are uneven', () => {
    const { columns } = timeline;
    const velocities = new Set(
      [...columns.data2].filter(
        (_, row) => (columns.status[row]! & 0xf0) === 0x90 && columns.data2[row]! > 0,
      ),
    );
    expect(velocities.size).toBeGreaterThan(70);
  });
});

describe('night-ferry.mid, for small machines', () => {
  const timeline = timelineOf('night-ferry.mid');

  test('is short, small and thin: one track, 30 to 40 s, under 2.5 kB, five voices, four channels', () => {
    expect(timeline.durationMicros / 1e6).toBeGreaterThan(30);
    expect(timeline.durationMicros / 1e6).toBeLessThan(40);
    expect(committed('night-ferry.mid').length).toBeLessThan(2500);
    expect(readSong(committed('night-ferry.mid')).format).toBe(0);
    const facts = songFacts(timeline);
    expect(facts.mostVoices).toBeLessThanOrEqual(5);
    expect(facts.channels.size).toBe(4);
    expect(facts.controllers.size).toBe(0);
  });
});

describe('tangled-nets.mid, the troublesome one', () => {
  const timeline = timelineOf('tangled-nets.mid');
  const { columns } = timeline;

  test('has every kind of hanging and odd note, each found', () => {
    const codes = new Set(timeline.findings.map(({ code }) => code));
    expect([...codes].sort()).toEqual([
      'note-ended-by-all-off',
      'note-never-released',
      'note-released-elsewhere',
      'note-struck-twice',
      'note-without-length',
      'pedal-left-down',
      'release-without-note',
      'sysex-interrupted',
    ]);
  });

  test('sets hundreds of things on the first downbeat and strikes a chord there', () => {
    const first = columns.tick.findIndex((tick) => tick > 0);
    expect(first).toBeGreaterThan(240);
    const strikes = columns.status.slice(0, first).filter((status) => (status & 0xf0) === 0x90);
    expect(new Set(strikes).size).toBe(16);
  });

  test('strikes sixteen notes of one channel on one tick', () => {
    const tick = timeline.meterMap.tickOf(8, 4);
    const harp = columns.status.filter((status, row) => status === 0x9e && columns.tick[row] === tick);
    expect(harp).toHaveLength(16);
  });

  test('crowds the wire with bends, pressure and expression', () => {
    const bends = columns.status.filter((status) => (status & 0xf0) === 0xe0).length;
    const pressure = columns.status.filter((status) => (status & 0xf0) === 0xd0).length;
    expect(bends).toBeGreaterThan(1500);
    expect(pressure).toBeGreaterThan(1500);
  });
});
