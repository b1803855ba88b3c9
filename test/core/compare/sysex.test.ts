import fc from 'fast-check';
import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import { HeardEvents } from '../../../src/core/compare/heard-events.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { sysExDocument } from '../../../src/core/compare/sysex-document.ts';
import { sysExLines, sysExWords } from '../../../src/core/compare/sysex-words.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../support/song-bytes.ts';

/** Universal messages as MIDI 1.0, Table VIIa, has them; and those of an invented maker, whose id is that of no one. */
const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
const IDENTITY = [0xf0, 0x7e, 0x7f, 0x06, 0x01, 0xf7];
const volume = (value: number) => [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, value, 0xf7];
const OF_A_MAKER = [
  [0xf0, 0x7d, 0x01, 0x02, 0xf7],
  [0xf0, 0x7d, 0x01, 0x03, 0x04, 0xf7],
  [0xf0, 0x7d, 0x01, 0x03, 0x05, 0xf7],
];

/** Sixteen quarters of half a second, the first a second behind the beginning; what stands before each, and in two tracks a second voice. */
function song(before: Readonly<Record<number, readonly (readonly number[])[]>>, voices = 1): Uint8Array {
  const track = (channel: number): DeltaEvent[] =>
    Array.from({ length: 16 }, (_, n): DeltaEvent[] => {
      const rest = n === 0 ? 192 : 2;
      const some = channel === 0 ? (before[n] ?? []) : [];
      return [
        ...some.map((bytes): DeltaEvent => [0, sysEx(bytes)]),
        [rest, [0x90 | channel, 50 + n, 90]],
        [94, [0x80 | channel, 50 + n, 64]],
      ];
    }).flat();
  return songBytes(Array.from({ length: voices }, (_, channel) => track(channel)));
}

/** As a player sends it that does nothing wrong, after the reading of an outside library: two seconds into the recording. */
function played(bytes: Uint8Array): TimedChunk[] {
  const { tracks, header } = parseMidi(bytes);
  const events = tracks.flatMap((track, place) => {
    let tick = 0;
    return track.flatMap((event) => {
      tick += event.deltaTime;
      const wire =
        event.type === 'sysEx'
          ? [0xf0, ...Array.from(event.data)]
          : event.type === 'noteOn'
            ? [0x90 | event.channel, event.noteNumber, event.velocity]
            : event.type === 'noteOff'
              ? [0x80 | event.channel, event.noteNumber, event.velocity]
              : [];
      return wire.length === 0 ? [] : [{ tick, place, wire }];
    });
  });
  let free = 0;
  return events
    .sort((a, b) => a.tick - b.tick || a.place - b.place)
    .map(({ tick, wire }) => {
      const micros = Math.max(free, 2_000_000 + (tick * 500_000) / header.ticksPerBeat!);
      free = micros + wire.length * 320;
      return { micros, bytes: Uint8Array.from(wire) };
    });
}

function judged(bytes: Uint8Array, chunks: readonly TimedChunk[], hasTimes = true) {
  const timeline = buildTimeline(readSong(bytes));
  const all = Uint8Array.from(chunks.flatMap((chunk) => [...chunk.bytes]));
  const found = compareMusic(timeline, hasTimes ? heardFromChunks(chunks) : heardFromBytes(all));
  return { verdict: found.verdict, notes: found.notes.length, ...sysExDocument(timeline, found) };
}

const isSysEx = ({ bytes }: TimedChunk) => bytes[0] === 0xf0;
const isLike = (wire: readonly number[]) => (chunk: TimedChunk) => chunk.bytes.join() === wire.join();
const without = (chunks: readonly TimedChunk[], is: (chunk: TimedChunk) => boolean) =>
  chunks.filter((chunk) => !is(chunk));
/** The first of its like goes before or behind so many other messages. */
function moved(chunks: readonly TimedChunk[], wire: readonly number[], by: number): TimedChunk[] {
  const from = chunks.findIndex(isLike(wire));
  const rest = chunks.toSpliced(from, 1);
  const micros = (rest[from + by - 1]?.micros ?? 0) + 960;
  return rest.toSpliced(from + by, 0, { micros, bytes: Uint8Array.from(wire) });
}

const SONG = song({ 0: [GM_ON, volume(100)], 4: [volume(50)], 8: [IDENTITY], 12: [volume(80)] });
const SOUND = played(SONG);

describe('as written', () => {
  test.each([true, false])('it is the same, with times: %s', (hasTimes) => {
    expect(judged(SONG, SOUND, hasTimes)).toMatchObject({
      verdict: 'same',
      song: 4,
      heard: 5,
      differences: [],
      leftOut: 0,
      unheard: 0,
    });
  });

  test('what changes nothing that sounds may be missing and added as one likes', () => {
    const { verdict, differences } = judged(SONG, without(SOUND, isLike(IDENTITY)));
    expect({ verdict, differences }).toEqual({ verdict: 'same', differences: [] });
    const more = SOUND.toSpliced(20, 0, { micros: SOUND[20]!.micros, bytes: Uint8Array.from(IDENTITY) });
    expect(judged(SONG, more).verdict).toBe('same');
  });

  test('a recording that begins in mid-song owes nothing from before, and what was in force may be sent anew', () => {
    const late = SOUND.slice(SOUND.findIndex(isLike(volume(50))) + 7);
    const anew = [GM_ON, volume(50)].map((wire, n) => ({
      micros: late[0]!.micros - 10_000 + n * 3000,
      bytes: Uint8Array.from(wire),
    }));
    for (const chunks of [late, [...anew, ...late]])
      expect(judged(SONG, chunks)).toMatchObject({ differences: [], leftOut: 0, unheard: 0 });
  });

  test('nor does it take one for the same message of thousands of notes before', () => {
    const quarters = (count: number): DeltaEvent[] =>
      Array.from({ length: count }, (_, n): DeltaEvent[] => [
        [2, [0x90, 40 + ((n * n) % 61), 1 + (n % 127)]],
        [10, [0x80, 40 + ((n * n) % 61), 64]],
      ]).flat();
    const [loud, soft] = [volume(100), volume(50)].map((wire): DeltaEvent => [0, sysEx(wire)]);
    const long = songBytes([
      [...quarters(30), loud!, ...quarters(5000), loud!, ...quarters(30), soft!, ...quarters(20)],
    ]);
    const chunks = played(long);
    expect(judged(long, chunks.slice(2 * 5000))).toMatchObject({ differences: [], leftOut: 0 });
  });

  test('one that ends early owes nothing from behind its last note', () => {
    const early = SOUND.slice(0, SOUND.findIndex(isLike(volume(80))));
    expect(judged(SONG, early)).toMatchObject({ missing: 0, differences: [] });
  });

  test('whoever begins may set his instrument up before the first note', () => {
    const setUp = [volume(127), GM_ON].map((wire, n) => ({
      micros: 1_900_000 + 3000 * n,
      bytes: Uint8Array.from(wire),
    }));
    expect(judged(SONG, [...setUp, ...SOUND]).verdict).toBe('same');
  });

  test('notes of another track at the same moment may pass it, and those of its own may not', () => {
    const two = song({ 4: [volume(50)] }, 2);
    // Each quarter: a release, the volume, the other release, a note, the other note.
    expect(judged(two, moved(played(two), [0x91, 54, 90], -3)).differences).toEqual([]);
    expect(judged(two, moved(played(two), volume(50), 2)).differences).toMatchObject([
      { kind: 'late', notes: 1 },
    ]);
  });
});

test('in its own moment it may go first, and not last', () => {
  // Each quarter: a note, a volume at the same tick, another note at the same tick.
  const chords = Array.from({ length: 16 }, (_, n): DeltaEvent[] => [
    [n === 0 ? 192 : 2, [0x90, 40 + n, 90]],
    [0, sysEx(volume(30 + n))],
    [0, [0x90, 70 + n, 90]],
    [94, [0x80, 40 + n, 64]],
    [0, [0x80, 70 + n, 64]],
  ]).flat();
  const bytes = songBytes([chords]);
  // Nor are these chords slow: the wire takes longer for them.
  expect(judged(bytes, played(bytes))).toMatchObject({ verdict: 'same', song: 16 });
  expect(judged(bytes, moved(played(bytes), volume(35), -1))).toMatchObject({ verdict: 'same' });
  expect(judged(bytes, moved(played(bytes), volume(35), 1))).toMatchObject({ late: 1 });
});

describe('what is not as written is told, with what and where', () => {
  test('missing', () => {
    const found = judged(SONG, without(SOUND, isLike(volume(50))));
    expect(found).toMatchObject({ verdict: 'differs', notes: 0, missing: 1, changed: 0, added: 0 });
    expect(found.differences).toMatchObject([
      { kind: 'missing', name: 'Master Volume', bar: 2, written: 'F0 7F 7F 04 01 00 32 F7', heard: null },
    ]);
    expect(sysExWords(found.differences[0]!)).toBe('Master Volume is missing (F0 7F 7F 04 01 00 32 F7)');
  });

  test('a byte that is another one, and one that is lost', () => {
    const other = (wire: readonly number[]) =>
      SOUND.map((chunk) => (isLike(volume(50))(chunk) ? { ...chunk, bytes: Uint8Array.from(wire) } : chunk));
    const changed = judged(SONG, other(volume(51)));
    expect(changed).toMatchObject({ verdict: 'differs', missing: 0, changed: 1, added: 0 });
    expect(changed.differences).toMatchObject([{ kind: 'changed', byte: 7, written: '32', heard: '33' }]);
    expect(sysExWords(changed.differences[0]!)).toBe('Master Volume came with 33 for 32 from byte 7 on');
    const shorter = judged(SONG, other([0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x32, 0xf7]));
    expect(shorter.differences).toMatchObject([{ kind: 'changed', byte: 6, written: '00', heard: '' }]);
  });

  test('a message that says something else is not this one changed', () => {
    const found = judged(
      SONG,
      SOUND.map((chunk) =>
        isLike(GM_ON)(chunk) ? { ...chunk, bytes: Uint8Array.of(0xf0, 0x7e, 0x7f, 0x06, 0x01, 0xf7) } : chunk,
      ),
    );
    expect(found).toMatchObject({ missing: 1, changed: 0 });
  });

  test('added in the midst of the song', () => {
    const at = SOUND.findIndex(isLike(volume(80))) - 4;
    const more = SOUND.toSpliced(at, 0, {
      micros: SOUND[at]!.micros - 5000,
      bytes: Uint8Array.from(volume(9)),
    });
    expect(judged(SONG, more)).toMatchObject({ verdict: 'differs', missing: 0, added: 1 });
    // What holds already changes nothing.
    const again = SOUND.toSpliced(at, 0, {
      micros: SOUND[at]!.micros - 5000,
      bytes: Uint8Array.from(volume(50)),
    });
    expect(judged(SONG, again)).toMatchObject({ verdict: 'same', added: 0 });
  });

  test.each<['late' | 'early', number, number]>([
    ['late', 1, 1],
    ['late', 5, 3],
    ['early', -3, 1],
    ['early', -5, 2],
  ])('%s: moved by %i messages; notes that began: %i', (kind, by, notes) => {
    for (const hasTimes of [true, false]) {
      const found = judged(SONG, moved(SOUND, volume(50), by), hasTimes);
      expect(found).toMatchObject({ verdict: 'differs', notes: 0, [kind]: 1, missing: 0, added: 0 });
      expect(found.differences).toMatchObject([{ kind, notes, bar: 2 }]);
    }
  });

  test('before the first note: missing where it is known that it was listened for, else not heard', () => {
    const { micros } = SOUND[0]!;
    const chunks = without(SOUND, isLike(GM_ON));
    expect(judged(SONG, chunks)).toMatchObject({ verdict: 'differs', missing: 1, unheard: 0 });
    const begun = chunks.map((chunk) => ({ ...chunk, micros: chunk.micros - micros }));
    const found = judged(SONG, begun);
    expect(found).toMatchObject({ verdict: 'same', missing: 0, unheard: 1 });
    expect(sysExLines(found).at(-1)).toBe(
      '1 before the first note not heard: the recording may have begun behind that',
    );
  });
});

describe('what a player may hold back', () => {
  const bytes = song({ 2: [OF_A_MAKER[0]!], 5: [OF_A_MAKER[1]!], 9: [OF_A_MAKER[2]!], 11: [volume(70)] });

  test('is no fault where it holds back all, and said', () => {
    const found = judged(
      bytes,
      without(played(bytes), (chunk) => isSysEx(chunk) && chunk.bytes[1] === 0x7d),
    );
    expect(found).toMatchObject({ verdict: 'same', song: 4, heard: 1, missing: 0, leftOut: 3 });
    expect(sysExLines(found)).toContain(
      '3 did not come and may be left out: makers’ own, or what was in force already',
    );
  });

  test('is owed where two others of that maker came, and one no shorter', () => {
    const chunks = played(bytes);
    expect(judged(bytes, chunks)).toMatchObject({ verdict: 'same', leftOut: 0 });
    expect(judged(bytes, without(chunks, isLike(OF_A_MAKER[1]!)))).toMatchObject({
      verdict: 'differs',
      missing: 1,
    });
    // The longest of all a player may have no room for.
    const long = [0xf0, 0x7d, 0x01, ...new Array<number>(300).fill(5), 0xf7];
    const withLong = song({ 2: [OF_A_MAKER[0]!], 5: [OF_A_MAKER[1]!], 9: [long] });
    expect(judged(withLong, without(played(withLong), isLike(long)))).toMatchObject({
      verdict: 'same',
      leftOut: 1,
    });
  });

  test('what is in force already need not be said again', () => {
    const twice = song({ 2: [volume(70)], 6: [volume(70)], 9: [volume(20)] });
    const chunks = played(twice);
    const second = chunks.findLastIndex(isLike(volume(70)));
    expect(judged(twice, chunks.toSpliced(second, 1))).toMatchObject({ verdict: 'same', leftOut: 1 });
  });
});

test('one lost of many alike is told where it was', () => {
  const many = song(
    Object.fromEntries(Array.from({ length: 15 }, (_, n) => [n + 1, [volume(40 + (n % 2))]])),
  );
  const chunks = played(many);
  const places = chunks.flatMap((chunk, n) => (isSysEx(chunk) ? [n] : []));
  fc.assert(
    fc.property(fc.integer({ min: 1, max: places.length - 1 }), fc.boolean(), (lost, hasTimes) => {
      const { differences } = judged(many, chunks.toSpliced(places[lost]!, 1), hasTimes);
      // Written before note n stands in quarter n + 1 of the bars of four, since the first rests for two.
      const quarter = lost + 2;
      expect(differences).toMatchObject([
        { kind: 'missing', bar: 1 + Math.floor(quarter / 4), beat: 1 + (quarter % 4) },
      ]);
    }),
  );
});

test('any stream of SysEx and notes is judged, whatever stands in it', () => {
  const byte = fc.constantFrom(0xf0, 0xf7, 0x7e, 0x7f, 0x04, 0x09, 0x01, 0x00, 0x32, 0x90, 52, 90, 0xf8);
  fc.assert(
    fc.property(fc.array(byte, { maxLength: 400 }), fc.nat(SOUND.length), (bytes, place) => {
      const more = {
        micros: SOUND[Math.min(place, SOUND.length - 1)]!.micros,
        bytes: Uint8Array.from(bytes),
      };
      const { missing, added, changed, early, late, differences } = judged(
        SONG,
        SOUND.toSpliced(place, 0, more),
      );
      expect(differences).toHaveLength(Math.min(100, missing + added + changed + early + late));
    }),
  );
});

describe('while it comes in', () => {
  /** Long enough to be judged in many parts. */
  const quarters = Array.from({ length: 400 }, (_, n): DeltaEvent[] => [
    ...(n % 5 === 4 ? ([[0, sysEx(volume(30 + (n % 60)))]] as DeltaEvent[]) : []),
    [2, [0x90, 40 + ((n * 7) % 50), 90]],
    [46, [0x80, 40 + ((n * 7) % 50), 64]],
  ]);
  const bytes = songBytes([quarters.flat()]);
  const chunks = played(bytes);
  const watched = (heard: readonly TimedChunk[]) => {
    const names = { song: '', heard: '', faults: FAULT_NAMES };
    const limits = { settleNotes: 40, keptMessages: 0 };
    const live = new LiveComparison(buildTimeline(readSong(bytes)), names, undefined, limits);
    const news = new LiveNews();
    const lines: string[] = [];
    for (const [n, chunk] of heard.entries()) {
      live.feed(chunk.bytes, chunk.micros);
      if (n % 12 === 0) lines.push(...news.take(live.look()));
    }
    return { lines, whole: live.whole() };
  };

  test('a sound one is the same in all its parts, and a lost SysEx is told once', () => {
    const sound = watched(chunks);
    expect(sound.lines).toEqual([]);
    expect(sound.whole).toMatchObject({ verdict: 'same', sysEx: { song: 80, heard: 80, differences: [] } });
    expect(sound.whole.parts).toBeGreaterThan(5);
    const lost = chunks.findIndex(isLike(volume(30 + (204 % 60))));
    const { lines, whole } = watched(chunks.toSpliced(lost, 1));
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(/^\d+:\d Master Volume is missing \(F0 7F 7F 04 01 00 36 F7\)$/);
    expect(whole).toMatchObject({ verdict: 'differs', sysEx: { song: 80, heard: 79, missing: 1 } });
  });

  test('what stands in SysEx is kept as it came, however much of it was forgotten', () => {
    fc.assert(
      fc.property(
        fc.array(fc.option(fc.uint8Array({ max: 40, min: 1 })), { minLength: 1 }),
        fc.nat(),
        fc.nat(),
        (some, a, b) => {
          const forgotten = a % some.length;
          const from = forgotten + (b % (some.length - forgotten));
          const events = new HeardEvents();
          for (const [n, content] of some.entries()) {
            if (content === null) events.message(0x90, 60, 1, n);
            else events.sysEx(content, false, n);
          }
          events.forget(forgotten);
          const told: (string | null)[] = [];
          events.replay(from, some.length, {
            message: () => told.push(null),
            sysEx: (content) => told.push(content.join()),
            fault: () => {},
          });
          expect(told).toEqual(some.slice(from).map((content) => content?.join() ?? null));
        },
      ),
    );
  });
});
