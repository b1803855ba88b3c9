import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { type DeltaEvent, songBytes, vlq } from '../../support/song-bytes.ts';
import { WireReader } from '../../support/wire-reader.ts';

/**
 * Whatever F0 and F7 events a song holds, however they are cut (SMF 1.1, section 2.3): judged from the bytes by a
 * reader of the wire that shares nothing with the program. The songs' own messages are on channels 1 to 3, those
 * inside F0 and F7 events on channel 16, so that one can tell them apart.
 */
interface Heard {
  readonly reader: WireReader;
  readonly held: number;
  readonly soundingAtEnd: number;
}

async function play(
  file: Uint8Array,
  { allowSysEx = false, packed = false, pauseAt = -1, capacityBytes = 4000 } = {},
): Promise<Heard> {
  const timeline = buildTimeline(readSong(file));
  const plan = packed ? packedPlan(timeline.columns, MIDI_WIRE) : fileOrderPlan(timeline.columns);
  const port = new MockPort({ record: true, capacityBytes });
  const { durationMicros } = timeline;
  const player = await openVirtualPlayer({ plan, durationMicros, outputs: [], allowSysEx }, [{ port }]);
  if (pauseAt >= 0) {
    player.advanceTo(pauseAt);
    player.send({ kind: 'pause' });
    if (player.advanceTo(pauseAt + 20_000_000)) {
      expect(heard(port).sounding).toBe(0);
      player.send({ kind: 'play' });
    }
  }
  player.advanceTo(durationMicros + 60_000_000);
  await player.close();
  const { observed } = player;
  return {
    reader: heard(port),
    held: observed.numbers[Slot.heldSysEx]!,
    soundingAtEnd: observed.sounding.reduce((sum, keys) => sum + keys),
  };
}

function heard(port: MockPort): WireReader {
  const reader = new WireReader();
  reader.read(port.recorded().bytes);
  return reader;
}

const heldBack = (file: Uint8Array): number => {
  const song = readSong(file);
  return checkSong('a.mid', song, buildTimeline(song)).sysEx.heldBack;
};

/** Universal, and no dump: sub-ids 1, 2, 3, 5 and 7 of 7E carry samples and files or ask for them (Table VIIa). */
function mayPass(message: readonly number[]): boolean {
  const [, id, , sub] = message;
  return id === 0x7f || (id === 0x7e && ![1, 2, 3, 5, 7].includes(sub!));
}

describe('one song, byte by byte', () => {
  const note = [
    [0, [0x90, 0x3c, 0x64]],
    [96, [0x80, 0x3c, 0x40]],
  ] as const satisfies DeltaEvent[];

  test('a status byte in an F7 event behind a universal message does not go out (the printf of the fault)', async () => {
    const file = Uint8Array.from([
      ...Buffer.from('MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x1c\0', 'latin1'),
      ...[0xf0, 4, 0x7e, 0x7f, 6, 1, 0, 0xf7, 3, 0x9f, 0x3c, 0x7f],
      ...[0, 0x90, 0x3c, 0x64, 0x60, 0x80, 0x3c, 0x40, 0, 0xff, 0x2f, 0],
    ]);
    const { reader, held } = await play(file);
    expect(reader.sounding).toBe(0);
    expect(reader.noteOns).toEqual([{ channel: 0, key: 0x3c, velocity: 0x64 }]);
    expect(held).toBe(2);
    expect(heldBack(file)).toBe(2);
    // Allowed, it is sounded, seen, and released.
    const allowed = await play(file, { allowSysEx: true });
    expect(allowed.reader.noteOns).toHaveLength(2);
    expect(allowed.reader.sounding).toBe(0);
  });

  test.each([
    ['a maker’s own in packets', [0xf0, 1, 0x43], [0xf7, 2, 0x01, 0xf7]],
    ['System Reset in an escape', [0xf7, 1, 0xff], undefined],
    ['System Reset inside a universal one', [0xf0, 6, 0x7f, 0x7f, 0xff, 4, 1, 0xf7], undefined],
    ['a sample dump behind a real-time byte', [0xf0, 7, 0x7e, 0xf8, 0x00, 0x01, 0, 0, 0xf7], undefined],
    ['a sample dump in packets', [0xf0, 2, 0x7e, 0x00], [0xf7, 4, 0x01, 0, 0, 0xf7]],
    ['a file dump', [0xf0, 5, 0x7e, 0x00, 0x07, 0x01, 0xf7], undefined],
    ['a message without its end', [0xf0, 4, 0x7f, 0x7f, 4, 1], undefined],
    ['a second F7', [0xf0, 5, 0x7f, 0x7f, 4, 0xf7, 0xf7], undefined],
  ])('%s is held back', async (_, first, second) => {
    const file = songBytes([[[0, first], ...(second === undefined ? [] : [[0, second] as const]), ...note]]);
    const { reader, held } = await play(file);
    expect(reader.messages.slice(0, 2)).toEqual([
      [0x90, 0x3c, 0x64],
      [0x80, 0x3c, 0x40],
    ]);
    expect(held).toBe(second === undefined ? 1 : 2);
    expect(heldBack(file)).toBe(held);
  });

  test('a universal message in packets passes; between messages of another track it does not', async () => {
    const volume: DeltaEvent[] = [
      [0, [0xf0, 4, 0x7f, 0x7f, 4, 1]],
      [10, [0xf7, 3, 0, 64, 0xf7]],
    ];
    const whole = await play(songBytes([volume, [...note]]));
    expect(whole.held).toBe(2); // the note of track 2 begins between its packets
    expect(whole.reader.faults).toEqual([]);
    const alone = await play(songBytes([[...volume, ...note]]));
    expect(alone.held).toBe(0);
    expect(alone.reader.messages[0]).toEqual([0xf0, 0x7f, 0x7f, 4, 1, 0, 64, 0xf7]);
  });

  test('a packet whose beginning was broken off by a pause is not sent alone: it would be data', async () => {
    const file = songBytes([
      [
        [0, [0x90, 0x3c, 0x64]],
        [10, [0xf0, 4, 0x7f, 0x7f, 4, 1]],
        [96, [0xf7, 3, 0, 64, 0xf7]],
        [96, [0x80, 0x3c, 0x40]],
      ],
    ]);
    const { reader } = await play(file, { pauseAt: 200_000 });
    expect(reader.faults).toEqual([]);
    expect(reader.said.get('0:cc0')).toBeUndefined();
    expect(reader.sounding).toBe(0);
  });

  test('allowed notes of a muted channel stay away, and a pause releases those that sound', async () => {
    const timeline = buildTimeline(
      readSong(
        songBytes([
          [
            [0, [0xf7, 3, 0x9f, 0x3c, 0x7f]],
            [0, [0xf7, 3, 0x9e, 0x3c, 0x7f]],
            [960, [0x90, 1, 1]],
          ],
        ]),
      ),
    );
    const plan = fileOrderPlan(timeline.columns);
    const port = new MockPort({ record: true });
    const options = { plan, durationMicros: timeline.durationMicros, outputs: [], allowSysEx: true };
    const player = await openVirtualPlayer({ ...options, setup: [{ kind: 'mute', channel: 15, on: true }] }, [
      { port },
    ]);
    player.advanceTo(1_000_000);
    expect(heard(port).noteOns).toEqual([{ channel: 14, key: 0x3c, velocity: 0x7f }]);
    expect(player.observed.sounding[14]).toBe(1);
    player.send({ kind: 'pause' });
    player.advanceTo(1_100_000);
    expect(heard(port).sounding).toBe(0);
    await player.close();
  });
});

describe('laws', () => {
  const data = fc.integer({ min: 0, max: 127 });
  const inner = fc.oneof(
    { weight: 6, arbitrary: fc.array(data, { minLength: 1, maxLength: 5 }) },
    { weight: 3, arbitrary: fc.tuple(fc.constantFrom(0x9f, 0x8f, 0xbf, 0xef), data, data) },
    {
      weight: 2,
      arbitrary: fc.constantFrom([0xff], [0xf8], [0xfa], [0xf2, 1, 2], [0xf3, 5], [0xf7], [0xf0]),
    },
  );
  const beginning = fc.constantFrom<number[][]>(
    ...[
      [0x7e, 0x7f, 0x09, 0x01],
      [0x7f, 0x7f, 0x04, 0x01],
      [0x7e, 0x00, 0x01],
      [0x7e, 0x00, 0x07],
      [0x43],
    ].map((head) => [head]),
    ...[[0x7d], [0x00, 0x01], [0x7e], [0x7f, 0x7f, 0x06], [0x7e, 0xf8, 0x00, 0x01], []].map((head) => [head]),
  );
  /** A message, whole or damaged, cut at random places into an F0 event and F7 events. */
  const packets = fc
    .record({
      status: fc.constantFrom(0xf0, 0xf0, 0xf0, 0xf7),
      head: beginning,
      body: fc.array(inner, { maxLength: 3 }),
      ends: fc.boolean(),
      cuts: fc.array(fc.integer({ min: 0, max: 20 }), { maxLength: 3 }),
      clean: fc.boolean(),
    })
    .map(({ status, head, body, ends, cuts, clean }) => {
      const bytes = [...head.flat(), ...body.flat().filter((byte) => !clean || byte < 0x80)];
      if (ends || clean) bytes.push(0xf7);
      const at = [0, ...cuts.map((cut) => Math.min(cut, bytes.length)).sort((a, b) => a - b), bytes.length];
      return at.slice(1).map((end, i) => {
        const all = bytes.slice(at[i], end);
        // An F0 event with a status inside and no F7 at its end has a wrong length, for the reader: the rest of it is
        // taken for events of the song (test/core/smf). Here such a packet has data and real-time bytes only.
        const opens = i === 0 && status === 0xf0 && all.at(-1) !== 0xf7;
        const part = opens ? all.filter((byte) => byte < 0x80 || (byte >= 0xf8 && byte < 0xff)) : all;
        return [i === 0 ? status : 0xf7, ...vlq(part.length), ...part];
      });
    });
  const own = fc
    .tuple(fc.constantFrom(0x90, 0x91, 0x92, 0x80, 0x81, 0xb0), fc.integer({ min: 60, max: 66 }), data)
    .map((bytes) => [bytes]);
  const track = fc.array(fc.oneof(packets, own), { maxLength: 12 }).chain((groups) => {
    const events = groups.flat();
    return fc
      .array(fc.constantFrom(0, 0, 0, 1, 5, 40), { minLength: events.length, maxLength: events.length })
      .map((deltas) => events.map((bytes, i): DeltaEvent => [deltas[i]!, bytes]));
  });
  const song = fc.array(track, { minLength: 1, maxLength: 3 }).map((tracks) => songBytes(tracks));
  const how = fc.record({
    packed: fc.boolean(),
    pauseAt: fc.integer({ min: -300_000, max: 600_000 }),
    capacityBytes: fc.constantFrom(4, 40, 4000),
  });

  test('without leave no byte of any SysEx but universal ones, and no status byte from inside one', async () => {
    await fc.assert(
      fc.asyncProperty(song, how, async (file, options) => {
        const { reader, held } = await play(file, options);
        for (const message of reader.messages) {
          const status = message[0]!;
          if (status === 0xf0) expect(mayPass(message), message.join()).toBe(true);
          else if (status >= 0xf1) expect.fail(`${status} went out`);
          else if (message[1] !== 123 && message[1] !== 120) expect(status & 15).toBeLessThan(3);
        }
        expect(reader.faults).toEqual([]);
        expect(reader.sounding).toBe(0);
        if (options.pauseAt < 0) expect(held).toBe(heldBack(file));
      }),
      { numRuns: 100 },
    );
  });

  test('with leave nothing sounds in a pause or at the end, and what was seen is what a receiver reads', async () => {
    await fc.assert(
      fc.asyncProperty(song, how, async (file, options) => {
        const { reader, soundingAtEnd } = await play(file, { ...options, allowSysEx: true });
        expect(reader.sounding).toBe(0);
        expect(soundingAtEnd).toBe(0);
      }),
      { numRuns: 100 },
    );
  });
});
