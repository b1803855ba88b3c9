import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT, WIREPIT } from '../../support/run-wirepit.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { WirePipe } from '../../support/wire-pipe.ts';
import { wirepitInShell } from '../../support/wirepit-in-shell.ts';

const LISTEN = ['listen', '--from', 'stdin', '--headless', '--json'];

describe('standard input', () => {
  it('waits for a writer that takes its time: an empty pipe is not the end', async () => {
    const thru = new WirePipe(join(tempFolder('stdin'), 'thru'));
    const child = spawn(process.execPath, [WIREPIT, ...LISTEN, '--thru', `raw:${thru.path}`], {
      cwd: ROOT,
      stdio: ['pipe', 'pipe', 'ignore'],
    });
    let report = '';
    child.stdout.on('data', (chunk) => {
      report += chunk;
    });
    child.stdin.on('error', () => {}); // it has left: told by the report
    const left = new Promise((resolve) => child.once('close', resolve));
    child.stdin.write(bytesOf('90 3C 40'));
    await thru.until(({ noteOns }) => noteOns.length === 1, 'the first note');
    // Nothing now, for as long as it takes a program that means to leave.
    await Promise.race([left, new Promise((resolve) => setTimeout(resolve, 150))]);
    child.stdin.end(bytesOf('80 3C 40'));
    expect(await left).toBe(0);
    expect(JSON.parse(report)).toMatchObject({ heard: { bytes: 6, messages: 2 }, soundingAtEnd: 0 });
    thru.close();
  });

  it.each([
    ['a file', '< package.json', 0],
    ['nothing', '< /dev/null', 0],
    ['what cannot be read', '< /', 1],
  ])('%s', async (_, from, code) => {
    const ran = await wirepitInShell(`wirepit "$@" ${from}`, ...LISTEN);
    expect(ran.code).toBe(code);
    expect(ran.stderr.includes('wirepit: standard input cannot be read (EISDIR)')).toBe(code === 1);
    expect(JSON.parse(ran.stdout).heard.bytes > 0).toBe(from.includes('package'));
  });
});
