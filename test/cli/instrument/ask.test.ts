import { closeSync, constants, openSync, readSync, writeSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { answerOf } from '../../support/command-line.ts';
import { hex } from '../../support/hex.ts';
import { hasSocat, PtyPair } from '../../support/pty-pair.ts';
import { runWirepit } from '../../support/run-wirepit.ts';

const REQUEST = 'f07e7f0601f7';

/** The far end of a cable: notes what comes, and once a whole request is there sends its answer. */
function answering(path: string, answer: Uint8Array) {
  const fd = openSync(path, constants.O_RDWR | constants.O_NONBLOCK | constants.O_NOCTTY);
  const scratch = new Uint8Array(256);
  let heard = '';
  const timer = setInterval(() => {
    try {
      const got = readSync(fd, scratch);
      heard += Buffer.from(scratch.subarray(0, got)).toString('hex');
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
    }
    if (!heard.endsWith(REQUEST)) return;
    clearInterval(timer);
    if (answer.length > 0) writeSync(fd, answer);
  }, 5);
  return {
    heard: () => heard,
    close() {
      clearInterval(timer);
      closeSync(fd);
    },
  };
}

async function askOver(answer: string, ...more: string[]) {
  const pair = await PtyPair.plugged();
  const far = answering(pair.far, hex(answer));
  try {
    const port = `serial:${pair.near}`;
    const ran = await runWirepit(['instrument', '--ask', '--port', port, '--from', port, ...more]);
    return { ...ran, heard: far.heard() };
  } finally {
    far.close();
    await pair.remove();
  }
}

const schema = z.strictObject({
  schema: z.literal('wirepit-identity/1'),
  port: z.string(),
  from: z.string(),
  answers: z.array(
    z.strictObject({
      device: z.int().min(0).max(127),
      maker: z.array(z.int().min(0).max(127)),
      family: z.int().min(0).max(16_383),
      member: z.int().min(0).max(16_383),
      version: z.array(z.int().min(0).max(127)).length(4),
      bytes: z.string(),
    }),
  ),
  bytesHeard: z.int().min(0),
});

describe.skipIf(!hasSocat)('wirepit instrument --ask, on a cable with an instrument at its end', () => {
  test('sends an Identity Request and says who answered', async () => {
    // Active Sensing and the clock in between change nothing (MIDI 1.0, p. A-1).
    const { code, stdout, heard } = await askOver('FE F0 7E 10 F8 06 02 7D 01 00 02 00 01 00 00 05 F7');
    expect(heard).toBe(REQUEST);
    expect(stdout).toBe(
      'device 17: maker 7D, family 1, member 2, version 01 00 00 05\n  F0 7E 10 06 02 7D 01 00 02 00 01 00 00 05 F7\n',
    );
    expect(code).toBe(0);
  });

  test('as JSON, with two that answered', async () => {
    const one = 'F0 7E 00 06 02 7D 01 00 02 00 01 00 00 05 F7';
    const { stdout } = await askOver(`${one} ${one.replace('7E 00', '7E 01')}`, '--json');
    const report = schema.parse(JSON.parse(stdout));
    expect(report.answers.map(({ device }) => device)).toEqual([0, 1]);
  });

  test('and says when nothing answered in time', async () => {
    const { code, stdout, heard } = await askOver('', '--seconds', '0.3');
    expect(heard).toBe(REQUEST);
    expect(code).toBe(1);
    expect(stdout).toMatch(/^no answer in 0\.3 s; nothing came at all: look whether its MIDI Out reaches/);
  });

  test('and when what came was no answer', async () => {
    const { code, stdout } = await askOver('90 3C 40', '--seconds', '0.3');
    expect(code).toBe(1);
    expect(stdout).toContain('3 bytes came, none of them an answer');
  });
});

describe('wirepit instrument --ask refuses', () => {
  test.each([
    ['--ask', /^wirepit: --ask: --port is missing; give --port .* and --from/],
    ['--ask --port mock', /--from is missing/],
    ['--ask parlour-piano', /--ask takes no instrument/],
    ['--ask --port nosuch:1 --from stdin', /there is no such port/],
  ])('%s', async (args, line) => {
    const { code, stderr } = await answerOf(['instrument', ...args.split(' ')]);
    expect(stderr).toMatch(line);
    expect(stderr.trimEnd()).not.toContain('\n');
    expect(code).toBe(2);
  });
});
