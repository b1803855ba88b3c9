import fc from 'fast-check';
import { type MidiEvent, parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { portsThatSend, songOfPort } from '../../../src/core/timeline/song-of-port.ts';
import { type DeltaEvent, meta, songBytes, sysEx } from '../../support/song-bytes.ts';

const events: fc.Arbitrary<DeltaEvent[]> = fc.array(
  fc.tuple(
    fc.integer({ min: 0, max: 40 }),
    fc.constantFrom(
      [0x90, 60, 90],
      [0x80, 60, 0],
      [0xc3, 7],
      [0xff, 0x51, 3, 7, 0xa1, 0x20],
      meta(1, [65]),
      sysEx([0xf0, 0x7e, 0x7f, 9, 1, 0xf7]),
    ),
  ),
  { maxLength: 12 },
);
/** A track and the port it names, if any. */
const tracks = fc.array(fc.tuple(fc.constantFrom(undefined, 0, 1, 5), events), {
  minLength: 1,
  maxLength: 5,
});

const fileOf = (parts: readonly (readonly [number | undefined, DeltaEvent[]])[]) =>
  songBytes(
    parts.map(([port, list]) =>
      port === undefined ? list : [[0, meta(0x21, [port])] as DeltaEvent, ...list],
    ),
    { format: 1 },
  );

type ReadEvent = MidiEvent & { readonly meta?: boolean; readonly running?: boolean };

/** By midi-file, which knows nothing of ours: what is sent, in ticks, of the tracks of one port. */
function sentByPort(bytes: Uint8Array, port: number): string[] {
  return parseMidi(bytes).tracks.flatMap((track, number) => {
    const named = track.find(({ type }) => type === 'portPrefix') as { port?: number } | undefined;
    if ((named?.port ?? 0) !== port) return [];
    let tick = 0;
    return track.flatMap((event: MidiEvent) => {
      tick += event.deltaTime;
      // How it was written (running status) is no part of what is sent.
      const { deltaTime: _, meta: isMeta, running: _running, ...what } = event as ReadEvent;
      return isMeta ? [] : [`${number} ${tick} ${JSON.stringify(what)}`];
    });
  });
}

describe('a song of one port', () => {
  test('holds what the tracks of that port send, by an independent reader, and all metas', () => {
    fc.assert(
      fc.property(tracks, (parts) => {
        const bytes = fileOf(parts);
        const whole = readSong(bytes);
        const { trackPorts, tempoMap } = buildTimeline(whole);
        const there = portsThatSend(whole, trackPorts);
        for (const port of [0, 1, 5, 6]) {
          const song = songOfPort(whole, trackPorts, port);
          expect(song !== undefined).toBe(there.includes(port));
          const expected = sentByPort(bytes, port);
          if (song === undefined) {
            expect(expected).toEqual([]);
            continue;
          }
          const written = writeSong(song);
          expect([0, 1, 5].flatMap((one) => sentByPort(written, one))).toEqual(expected);
          const timeline = buildTimeline(song);
          expect(timeline.trackPorts).toEqual(trackPorts);
          expect(timeline.tempoMap.stretches).toEqual(tempoMap.stretches);
        }
      }),
    );
  });

  test('a note of one port is not ended by the same key of another', () => {
    const bytes = fileOf([
      [
        undefined,
        [
          [0, [0x90, 60, 90]],
          [96, [0x80, 60, 0]],
        ],
      ],
      [
        1,
        [
          [10, [0x90, 60, 90]],
          [10, [0x80, 60, 0]],
        ],
      ],
    ]);
    const whole = readSong(bytes);
    const song = songOfPort(whole, buildTimeline(whole).trackPorts, 1)!;
    const { columns } = buildTimeline(song);
    expect([...columns.tick]).toEqual([10, 20]);
    expect([...columns.partner]).toEqual([1, 0]);
  });
});
