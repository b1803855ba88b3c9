import { createRequire } from 'node:module';
import { parseMidi } from 'midi-file';
import { DATA_BYTES } from '../../../src/core/midi/status.ts';
import { StreamParser } from '../../../src/core/midi/stream-parser.ts';

export interface RaceResult {
  readonly name: string;
  readonly input: string;
  readonly megabytesPerSecond: number;
  readonly messages: number;
}

const ROUNDS = 7;

/** A mixed stream: notes under running status, controllers, bends, programs, clock, SysEx. Same seed, same bytes. */
function mixedStream(length: number): Uint8Array {
  const bytes = new Uint8Array(length + 64);
  let seed = 31_250;
  const random = (below: number): number => {
    seed = (Math.imul(seed, 1_103_515_245) + 12_345) >>> 0;
    return (seed >>> 16) % below;
  };
  let at = 0;
  const put = (...values: number[]): void => {
    for (const value of values) bytes[at++] = value;
  };
  while (at < length) {
    const kind = random(20);
    const channel = random(16);
    if (kind < 10) {
      put(0x90 | channel);
      for (let note = random(6) + 1; note > 0; note -= 1) put(random(128), random(128));
    } else if (kind < 14) put(0xb0 | channel, random(120), random(128));
    else if (kind < 16) put(0xe0 | channel, random(128), random(128));
    else if (kind < 17) put(0xc0 | channel, random(128));
    else if (kind < 19) put(0xf8);
    else put(0xf0, 0x7d, ...Array.from({ length: 20 }, () => random(128)), 0xf7);
  }
  return bytes.subarray(0, at);
}

/** The same stream cut into whole messages with their status: what message parsers want. */
function wholeMessages(stream: Uint8Array): number[][] {
  const messages: number[][] = [];
  let sysEx: number[] = [];
  new StreamParser({
    message: (status, data1, data2) =>
      messages.push([status, data1, data2].slice(0, 1 + DATA_BYTES[status]!)),
    sysEx(bytes, length, part) {
      sysEx.push(...bytes.subarray(0, length));
      if ((part & 2) === 0) return;
      messages.push(sysEx);
      sysEx = [];
    },
    fault() {
      throw new Error('the stream should have no faults');
    },
  }).feed(stream);
  return messages;
}

/** The channel messages as a track of a song file: a library that reads running status. */
function asTrack(messages: readonly number[][]): Uint8Array {
  const events = messages.filter((bytes) => bytes[0]! < 0xf0).flatMap((bytes) => [0, ...bytes]);
  events.push(0, 0xff, 0x2f, 0);
  const length = [
    events.length >>> 24,
    (events.length >> 16) & 255,
    (events.length >> 8) & 255,
    events.length & 255,
  ];
  return Uint8Array.from([
    ...[0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0, 96, 0x4d, 0x54, 0x72, 0x6b],
    ...length,
    ...events,
  ]);
}

/** Interleaved rounds of all readers over the same bytes; the median of each. */
export function raceParsers(megabytes: number): RaceResult[] {
  const stream = mixedStream(megabytes * 1e6);
  const messages = wholeMessages(stream);
  const track = asTrack(messages);
  const messageBytes = messages.reduce((sum, bytes) => sum + bytes.length, 0);
  const { MIDI } = createRequire(import.meta.url)('jzz') as {
    MIDI: new (bytes: number[]) => { length: number };
  };
  let sum = 0;
  let count = 0;
  const sink = {
    message(status: number, data1: number, data2: number) {
      count += 1;
      sum += status + data1 + data2;
    },
    sysEx: (_bytes: Uint8Array, length: number) => {
      count += 1;
      sum += length;
    },
    fault() {},
  };
  const racers = [
    {
      name: 'wirepit stream parser',
      input: 'byte stream with running status',
      bytes: stream.length,
      run: () => new StreamParser(sink).feed(stream),
    },
    {
      name: 'jzz 1.9 message objects',
      input: 'messages cut beforehand',
      bytes: messageBytes,
      run() {
        for (const bytes of messages) {
          sum += new MIDI(bytes).length;
          count += 1;
        }
      },
    },
    {
      name: 'midi-file 1.2 track',
      input: 'channel messages as a track',
      bytes: track.length,
      run() {
        count += parseMidi(track).tracks[0]!.length;
      },
    },
  ];
  const times = racers.map((): number[] => []);
  const counts = racers.map(() => 0);
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [index, racer] of racers.entries()) {
      count = 0;
      const began = performance.now();
      racer.run();
      times[index]!.push(performance.now() - began);
      counts[index] = count;
    }
  }
  if (sum === 0) throw new Error('nothing was parsed');
  return racers.map(({ name, input, bytes }, index) => {
    const median = times[index]!.toSorted((a, b) => a - b)[ROUNDS >> 1]!;
    return { name, input, megabytesPerSecond: bytes / median / 1000, messages: counts[index]! };
  });
}
