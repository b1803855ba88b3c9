import { describe, expect, test } from 'vitest';
import { loopCauses } from '../../src/core/loop/loop-causes.ts';
import { type LoopOptions, startLoop } from '../../src/loop/run-loop.ts';
import { type FarLineOptions, farLine } from '../support/far-line.ts';
import { tempFolder } from '../support/temp-folder.ts';

/** Quicker than MIDI, for the sake of the tests' time; at MIDI's own rate `npm run bench -- loop` measures. */
const BAUD = 115_200;
const BY_TIME = ['baud-off', 'gaps', 'queues', 'slow', 'unsteady'];

async function loopOver(line: FarLineOptions, more: Partial<LoopOptions> = {}) {
  const far = await farLine(line, tempFolder('loop'));
  const run = await startLoop({
    port: `serial:${far.out}@${BAUD}`,
    from: `serial:${far.in}@${BAUD}`,
    quiet: false,
    rounds: 1,
    ...more,
  });
  const loop = await run.done;
  return { loop, log: await far.end() };
}

describe('through two pseudo-terminals and a line in between', () => {
  test('a sound line: every byte, in order', async () => {
    const { loop, log } = await loopOver({ baud: BAUD });
    expect(loop.counted).toMatchObject({ lost: 0, changed: 0, added: 0 });
    expect(loop.sentBytes).toBe(loop.pattern.bytes.length);
    expect(log.slice(0, loop.sentBytes).map(([value]) => value)).toEqual([...loop.pattern.bytes]);
    // How many messages found the line free is the machine's affair.
    expect(loop.latency!.count).toBeGreaterThan(0);
    expect(loop.queue!.longestMicros).toBeGreaterThan(1000);
    expect(loop.rate!.baud).not.toBeNull();
    // What comes after the pattern is silence, and no part of what is judged.
    const after = log.slice(loop.sentBytes).map(([value]) => value);
    expect(after.length).toBeGreaterThan(16);
    expect(after.filter((value) => (value & 0xf0) === 0x90)).toEqual([]);
  });

  test('bytes lost, changed and added are counted to the byte', async () => {
    const line = { baud: BAUD, loseEvery: 401, flipEvery: 307, flipBits: 4, addEvery: 503 };
    const { loop } = await loopOver(line, { quiet: true });
    const due = (every: number) => Math.floor(loop.sentBytes / every);
    expect(loop.counted).toMatchObject({ lost: due(401), changed: due(307), added: due(503) });
    expect(loop.counted.bitsSet[2]! + loop.counted.bitsCleared[2]!).toBe(due(307));
    // Causes judged by time (queues, slow, unsteady) are the machine's weather here; they are tried on invented hearings.
    const codes = loopCauses(loop).map(({ code }) => code);
    expect(codes.filter((code) => !BY_TIME.includes(code))).toEqual([
      'bit-stuck',
      'bytes-lost',
      'bytes-added',
    ]);
  });
});
