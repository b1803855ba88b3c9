import { spawnSync } from 'node:child_process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hexOf, readStream } from '../support/stream-log.ts';

// Outside check: libasound (ALSA project), whose stream encoder needs no hardware. Reached through python3.
const script = new URL('./libasound-encode.py', import.meta.url).pathname;
const probe = spawnSync('python3', ['-c', "import ctypes; ctypes.CDLL('libasound.so.2')"]);
const absent = probe.status !== 0;
if (absent)
  console.warn('skipped: python3 or libasound.so.2 is not here, so its stream parser cannot be asked');

function encodeThere(streams: Uint8Array[]): string[][] {
  const run = spawnSync('python3', [script], {
    input: streams.map((bytes) => `${Buffer.from(bytes).toString('hex')}\n`).join(''),
    maxBuffer: 1 << 28,
  });
  if (run.status !== 0) throw new Error(run.stderr.toString());
  const lines = run.stdout.toString().split('\n').slice(0, streams.length);
  return lines.map((line) =>
    line === '' ? [] : line.split(',').map((hex) => hexOf(Buffer.from(hex, 'hex'))),
  );
}

const data = fc.integer({ min: 0, max: 0x7f });
const channelStatus = fc.integer({ min: 0x80, max: 0xef });
const size = (status: number) => (status >= 0xc0 && status < 0xe0 ? 1 : 2);

/** A status and one to five messages' data under it, so that running status is used. */
const channelRun = channelStatus.chain((status) =>
  fc
    .integer({ min: 1, max: 5 })
    .chain((count) =>
      fc
        .array(data, { minLength: count * size(status), maxLength: count * size(status) })
        .map((rest) => [status, ...rest]),
    ),
);
const common = fc.oneof(
  data.map((value) => [0xf1, value]),
  fc.tuple(data, data).map(([low, high]) => [0xf2, low, high]),
  data.map((value) => [0xf3, value]),
  fc.constant([0xf6]),
);
const sysEx = fc.array(data, { minLength: 1, maxLength: 300 }).map((rest) => [0xf0, ...rest, 0xf7]);
const realTime = fc.constantFrom(0xf8, 0xfa, 0xfb, 0xfc, 0xfe, 0xff);

const validStream = fc
  .tuple(
    fc.array(fc.oneof({ weight: 6, arbitrary: channelRun }, common, sysEx), { maxLength: 40 }),
    fc.array(fc.tuple(fc.nat(), realTime), { maxLength: 20 }),
  )
  .map(([runs, insertions]) => {
    const bytes = runs.flat();
    for (const [place, byte] of insertions) bytes.splice(place % (bytes.length + 1), 0, byte);
    return Uint8Array.from(bytes);
  });

describe.skipIf(absent)('libasound reads the same from a live stream', () => {
  it('valid streams with running status, SysEx, and real-time bytes anywhere', () => {
    const streams = fc.sample(validStream, { numRuns: 400, seed: 31_250 });
    const there = encodeThere(streams);
    for (const [index, bytes] of streams.entries()) {
      const here = readStream([bytes]);
      expect(here.faults).toEqual([]);
      expect(here.messages, hexOf(bytes)).toEqual(there[index]);
    }
  });
});
