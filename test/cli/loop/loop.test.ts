import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { LOOP_CODES, LOOP_GUIDE } from '../../../src/core/loop/loop-guide.ts';
import { loopPattern } from '../../../src/core/loop/loop-pattern.ts';
import { LOOP_SECTIONS } from '../../../src/core/loop/loop-plan.ts';
import { answerOf } from '../../support/command-line.ts';
import { farLine } from '../../support/far-line.ts';
import { runWirepit } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const micros = z.int().nullable();
const SCHEMA = z.strictObject({
  schema: z.literal('wirepit-loop/1'),
  port: z.string().nullable(),
  from: z.string().nullable(),
  quiet: z.boolean(),
  rounds: z.int(),
  verdict: z.enum(['sound', 'faulty', 'sent']),
  bytes: z.strictObject({
    sent: z.int(),
    heard: z.int(),
    lost: z.int(),
    changed: z.int(),
    added: z.int(),
    reEncoded: z.boolean(),
    values: z.int(),
  }),
  bits: z.strictObject({ set: z.array(z.int()).length(8), cleared: z.array(z.int()).length(8) }),
  latency: z
    .strictObject({
      count: z.int(),
      minMicros: micros,
      p50Micros: micros,
      p95Micros: micros,
      maxMicros: micros,
      spreadMicros: z.int(),
      wireMicros: z.int(),
    })
    .nullable(),
  queue: z
    .strictObject({
      longestMicros: z.int(),
      beyondP50Micros: z.int(),
      beyondP95Micros: z.int(),
      beyondMaxMicros: z.int(),
    })
    .nullable(),
  baud: z
    .strictObject({ baud: z.number(), uncertainty: z.number(), ppm: z.int(), uncertaintyPpm: z.int() })
    .nullable(),
  byteMicros: z.number().nullable(),
  heldMicros: micros,
  lineErrors: z
    .strictObject({ framing: z.int(), parity: z.int(), overrun: z.int(), breaks: z.int() })
    .nullable(),
  sections: z.array(
    z.strictObject({
      section: z.enum(LOOP_SECTIONS),
      bytes: z.int(),
      lost: z.int(),
      changed: z.int(),
      added: z.int(),
    }),
  ),
  causes: z.array(
    z.strictObject({ code: z.enum(LOOP_CODES), evidence: z.string(), text: z.string(), look: z.string() }),
  ),
  faults: z.array(
    z.strictObject({
      kind: z.enum(['lost', 'changed', 'added']),
      offset: z.int(),
      section: z.enum(LOOP_SECTIONS),
      sent: z.int().nullable(),
      heard: z.int().nullable(),
    }),
  ),
});

/** The far end of `--hear` is a file of what came, in the file port's form. */
function dump(bytes: Iterable<number>): string {
  const path = join(tempFolder('loop'), 'heard.txt');
  const lines = [...bytes].map((byte, n) => `${n * 32} ${byte.toString(16).padStart(2, '0')}`);
  writeFileSync(path, `${lines.join('\n')}\n`);
  return path;
}

const QUIET = loopPattern({ quiet: true, rounds: 1, whole: false }).bytes;

describe('wirepit loop', () => {
  test('the built program, both ends here: caution first, JSON as the schema says', async () => {
    const line = await farLine({ baud: 115_200, loseEvery: 300 });
    const ports = ['--port', `serial:${line.out}@115200`, '--from', `serial:${line.in}@115200`];
    const { code, stdout, stderr } = await runWirepit(['loop', ...ports, '--json']);
    line.kill();
    expect(stderr).toMatch(/^Caution: an instrument on this line will play.*\nVolume down.*\n--quiet .*\n$/);
    const document = SCHEMA.parse(JSON.parse(stdout));
    expect(document).toMatchObject({ verdict: 'faulty', bytes: { lost: 13, values: 256 } });
    expect(document.causes[0]).toMatchObject({ code: 'bytes-lost', ...LOOP_GUIDE['bytes-lost'] });
    expect(document.faults).toHaveLength(13);
    expect(code).toBe(1);
  });

  test('--send: handed over, and that is all it says', async () => {
    const path = join(tempFolder('loop'), 'sent.txt');
    const { code, stdout } = await answerOf(['loop', '--send', '--quiet', '--port', `file:${path}`]);
    expect(code).toBe(0);
    expect(stdout).toMatch(/^sent: \d+ bytes went out/);
    const bytes = readFileSync(path, 'utf8')
      .split('\n')
      .filter((line) => /^\d/.test(line))
      .flatMap((line) => line.split(' ').slice(1));
    expect(bytes.slice(0, QUIET.length).map((byte) => Number.parseInt(byte, 16))).toEqual([...QUIET]);
  });

  test('--hear: finds by itself that the other end was quiet, and says what is wrong', async () => {
    const sound = await answerOf(['loop', '--hear', '--from', `file:${dump(QUIET)}`]);
    expect(sound.stdout).toMatch(/^sound: all \d+ bytes came as they were sent/);
    expect(sound.code).toBe(0);
    const lossy = dump(QUIET.filter((_, n) => n % 200 !== 9));
    const { stdout, code } = await answerOf(['loop', '--hear', '--from', `file:${lossy}`, '--json']);
    const document = SCHEMA.parse(JSON.parse(stdout));
    expect(document).toMatchObject({ quiet: true, port: null, queue: null, heldMicros: null });
    expect(document.causes[0]!.code).toBe('bytes-lost');
    expect(code).toBe(1);
  });
});

describe('wirepit loop refuses: one line, exit 2', () => {
  test.each([
    ['', /loop: no output is named; name one with --port/],
    ['--port mock', /loop: no input is named; name one with --from, or --send/],
    ['--send --port mock --port mock', /one port is looked at at a time/],
    ['--hear', /loop: no input is named; name one with --from$/],
    ['--send --hear', /--send and --hear are the two ends/],
    ['--send --port mock --from stdin', /--send takes no --from/],
    ['--hear --port mock --from stdin', /--hear takes no --port/],
    ['--send --port mock --seconds 3', /--seconds is for --hear/],
    ['--port mock --from nosuch:1', /there is no such input/],
    ['--port nosuch:1 --from stdin', /there is no such port/],
    ['--send --port raw:/nowhere', /there is no such device/],
    ['--send --port mock --rounds 101', /write a whole number from 1 to 100/],
  ])('loop %s', async (args, line) => {
    const { code, stdout, stderr } = await answerOf(['loop', ...args.split(' ').filter((one) => one !== '')]);
    expect(stderr.trimEnd()).toMatch(line);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect(stdout).toBe('');
    expect(code).toBe(2);
  });
});

test('docs/loop.md explains every verdict in the words of the program and every part, docs/loop-json.md every field', () => {
  const page = readFileSync('docs/loop.md', 'utf8');
  for (const code of LOOP_CODES)
    expect(page).toContain(`| \`${code}\` | ${LOOP_GUIDE[code].text} | ${LOOP_GUIDE[code].look} |`);
  for (const section of LOOP_SECTIONS) expect(page).toContain(`| \`${section}\` |`);
  const fields = readFileSync('docs/loop-json.md', 'utf8');
  for (const field of Object.keys(SCHEMA.shape)) expect(fields).toContain(`\`${field}`);
});
