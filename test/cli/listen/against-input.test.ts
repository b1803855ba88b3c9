import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, openSync, readFileSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { standstillWords } from '../../../src/core/compare/standstills.ts';
import { answerOf } from '../../support/command-line.ts';
import { hasSocat, PtyPair, until } from '../../support/pty-pair.ts';
import { ROOT, WIREPIT } from '../../support/run-wirepit.ts';
import { songMessages } from '../../support/song-messages.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const SONG = 'songs/night-ferry.mid';
/** Without its fiftieth message that strikes: all but the times is the same on any machine. */
const SENT = (() => {
  const messages = songMessages(readFileSync(SONG));
  const ons = messages.flatMap((bytes, n) => ((bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0 ? [n] : []));
  return Buffer.concat(messages.filter((_, n) => n !== ons[50]));
})();

interface Program {
  readonly child: ChildProcess;
  readonly record: string;
  readonly exit: Promise<unknown>;
  stdout: string;
}

function listening(from: string, ...more: string[]): Program {
  const record = join(tempFolder('against-input'), 'heard.log');
  const child = spawn(
    process.execPath,
    [
      ...[WIREPIT, 'listen', '--from', from, '--against', SONG, '--record', record],
      ...['--headless', '--json', ...more],
    ],
    { cwd: ROOT, stdio: ['pipe', 'pipe', 'pipe'] },
  );
  const program = { child, record, exit: once(child, 'close'), stdout: '' };
  child.stdout.on('data', (text) => {
    program.stdout += text;
  });
  child.stderr.resume();
  return program;
}

/** As far as no clock is in it. */
function expectJudged({ stdout }: Program) {
  const { against } = JSON.parse(stdout);
  expect(against).toMatchObject({
    verdict: 'differs',
    isTheSong: true,
    notes: { song: 265, heard: 264, missing: 1, added: 0, changed: 0 },
    differences: [{ kind: 'missing' }],
  });
  return against;
}

it('a log that says when its listener stood still: what came then is not late, as `compare` has it', async () => {
  const log = join(tempFolder('against-log'), 'heard.log');
  await answerOf(['play', SONG, '--headless', '--clock', 'virtual', '--record', log]);
  const lines = readFileSync(log, 'utf8').split('\n');
  const micros = (line: string) => Number(line.split('\t')[0]);
  const isWithin = (line: string) => /^\d/.test(line) && micros(line) > 4e6 && micros(line) < 4.5e6;
  const held = lines.map((line) => (isWithin(line) ? line.replace(/^\d+/, '4500000') : line));
  const behind = held.findIndex((line) => /^\d/.test(line) && micros(line) > 4.5e6);
  const judged = async (text: readonly string[]) => {
    writeFileSync(log, text.join('\n'));
    const listened = listening(`file:${log}`, '--clock', 'virtual');
    await listened.exit;
    const compared = [];
    for (const path of [log, listened.record])
      compared.push(JSON.parse((await answerOf(['compare', SONG, path, '--json'])).stdout));
    return [JSON.parse(listened.stdout).against, ...compared];
  };
  for (const one of await judged(held)) expect(one.notes.late).toBeGreaterThan(0);
  const remark = standstillWords(500_000);
  for (const one of await judged(held.toSpliced(behind, 0, `# 4500000\tx\t${remark}`)))
    expect(one).toMatchObject({
      verdict: 'same',
      notes: { late: 0 },
      standstills: { count: 1, longestMicros: 500_000 },
    });
});

it('a log that tells of faults: `listen` has them as whoever recorded it had, and so has the record of that', async () => {
  const folder = tempFolder('against-faults');
  const song = songMessages(readFileSync(SONG)).map((bytes) => [...bytes]);
  const noise = [0xf6, ...Array.from({ length: 40 }, () => 0x41)];
  const at = (share: number) => Math.floor(share * song.length);
  song.splice(at(0.8), 0, [0xf0, 0x7d, 1]); // cut by the next status
  song.splice(at(0.6), 0, noise);
  song.splice(at(0.4), 0, [0x90, 60], [0xf5], [0xf7]);
  const heard = join(folder, 'heard.bin');
  writeFileSync(heard, Buffer.from([0x40, 0x41, ...song.flat()]));
  const first = listening(`file:${heard}`, '--clock', 'virtual');
  await first.exit;
  const again = listening(`file:${first.record}`, '--clock', 'virtual');
  await again.exit;
  const reports = [first, again].map(({ stdout }) => JSON.parse(stdout));
  const byKind = { strayData: 40, undefinedCommon: 1, truncated: 1, sysExCut: 1, strayEnd: 1 };
  for (const { faults, heard: came } of reports) {
    expect(faults.byKind).toMatchObject(byKind);
    expect(came.rest).toBe(2);
  }
  expect(reports[1].faults.latest).toContainEqual({ kind: 'strayData', offset: null, bytes: [] });
  const pages = reports.map(({ against }) => against);
  for (const { record } of [first, again])
    pages.push(JSON.parse((await answerOf(['compare', SONG, record, '--json'])).stdout));
  for (const page of pages) {
    expect(page.faults).toEqual(byKind);
    expect(page.notes).toEqual(pages[0].notes);
    expect(page.causes.map(({ code }: { code: string }) => code)).toEqual(
      pages[0].causes.map(({ code }: { code: string }) => code),
    );
  }
});

describe('--against, whatever the input and however it is cut', () => {
  it('standard input in small pieces', async () => {
    const program = listening('stdin');
    const { stdin } = program.child;
    for (let at = 0, n = 0; at < SENT.length; n += 1) {
      const length = 1 + ((n * 7) % 23);
      if (!stdin!.write(SENT.subarray(at, at + length))) await once(stdin!, 'drain');
      await setImmediate();
      at += length;
    }
    stdin!.end();
    await program.exit;
    expectJudged(program);
    expect(program.child.exitCode).toBe(1);
  });

  it.skipIf(!hasSocat)('a serial port, through a pty pair', async () => {
    const pair = await PtyPair.plugged();
    const program = listening(`serial:${pair.far}`);
    try {
      let said = '';
      program.child.stderr!.on('data', (text) => {
        said += text;
      });
      await until(() => existsSync(program.record), 'the record');
      const near = openSync(pair.near, 'w');
      for (let at = 0; at < SENT.length; at += 29) {
        writeSync(near, SENT.subarray(at, at + 29));
        await setImmediate();
      }
      const whole = () =>
        readFileSync(program.record, 'utf8')
          .split('\n')
          .filter((line) => /^\d/.test(line)).length;
      const wanted = songMessages(readFileSync(SONG)).length - 1;
      await until(() => whole() >= wanted, `${wanted} messages in the record; it said: ${said}`, 30_000);
      program.child.kill('SIGTERM');
      await program.exit;
      const against = expectJudged(program);
      // And nothing else than `compare` says of the record.
      const compared = JSON.parse((await answerOf(['compare', SONG, program.record, '--json'])).stdout);
      expect({ ...against.notes, late: 0 }).toEqual({ ...compared.notes, late: 0 });
      expect(against.offs).toEqual(compared.offs);
      expect(against.span).toEqual(compared.span);
    } finally {
      program.child.kill('SIGKILL');
      await pair.remove();
    }
  });
});
