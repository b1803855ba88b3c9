import { spawn, spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, readFileSync, readSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { answerOf } from '../../support/command-line.ts';
import { until } from '../../support/pty-pair.ts';
import { runInPty } from '../../support/pty-run.ts';
import { ROOT, runWirepit, WIREPIT } from '../../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('listen-cli');
});

function dump(hex: string): string {
  const path = join(folder, 'dump');
  writeFileSync(path, bytesOf(hex));
  return path;
}

describe('wirepit listen without a screen', () => {
  it('names the instrument in its report, and only where one was named', async () => {
    const from = ['listen', '--from', `file:${dump('90 3C 40 80 3C 00')}`, '--clock', 'virtual', '--json'];
    const named = await answerOf([...from, '--instrument', 'lindwurm-eight']);
    const unnamed = await answerOf(from);
    expect(JSON.parse(named.stdout).instrument).toBe('Lindwurm Eight');
    expect(JSON.parse(unnamed.stdout)).not.toHaveProperty('instrument');
  });

  it('tells faults with their bytes, and reports as one JSON object', async () => {
    const path = dump('41 C2 46 92 30 60 3C 60 F5 41 92 30 00');
    const ran = await runWirepit(['listen', '--from', `file:${path}`, '--clock', 'virtual', '--json']);
    expect(ran.code).toBe(0);
    expect(ran.stderr).toContain('fault at byte 9: data byte with no status before it: 41');
    expect(ran.stderr).toContain('1 byte before the first status');
    expect(ran.stderr).not.toContain('fault at byte 0');
    expect(ran.stderr).toContain('fault at byte 8: undefined system common status: F5');
    const report = JSON.parse(ran.stdout);
    expect(report).toMatchObject({
      schema: 'wirepit-listen/1',
      heard: { bytes: 13, messages: 4, noteOns: 2, rest: 1 },
      faults: { total: 2, byKind: { strayData: 1, undefinedCommon: 1 } },
      soundingAtEnd: 1,
    });
    expect(report.channels[2]).toEqual({ channel: 3, messages: 4, noteOns: 2, sounding: 1 });
    expect(Object.keys(report.faults.byKind)).toEqual(FAULT_NAMES);
  });

  it('reads standard input, and records it as a song', async () => {
    const take = join(folder, 'take.mid');
    const ran = await runWirepit(['listen', '--from', '-', '--record', take], '\x41\x42');
    expect(ran.code).toBe(0);
    expect(ran.stderr).toContain('0 faults  2 bytes before the first status');
    const child = spawn(process.execPath, [WIREPIT, 'listen', '--from', '-', '--record', take], {
      cwd: ROOT,
    });
    child.stdin.end(Buffer.from(bytesOf('90 3C 40 80 3C 40')));
    await new Promise((resolve) => child.once('close', resolve));
    const { events } = readSong(readFileSync(take));
    expect([...events.status.subarray(0, events.count)].filter((status) => status < 0xf0)).toEqual([
      0x90, 0x80,
    ]);
  });

  it.each([
    [['--from', 'nonsense'], /^wirepit: port nonsense: there is no such input; use interface:/],
    [['--from', 'serial:/dev/no-such-uart'], /^wirepit: serial:\/dev\/no-such-uart: there is no such device/],
    [['--from', 'stdin', '--thru', 'nonsense'], /^wirepit: port nonsense: there is no such port/],
    [[], /^wirepit: listen: no input is named; name one with --from; `wirepit ports` lists them\n$/],
    [['--from', 'stdin', '--mute', '17'], /^wirepit: --mute: it cannot be '17'; write channels 1 to 16/],
    [['--from', 'stdin', '--solo', '3'], /^wirepit: listen: --solo has nothing to hold back; give --thru/],
  ])('%j is refused in one line, exit code 2', async (args, reason) => {
    const ran = await answerOf(['listen', ...args]);
    expect(ran.code).toBe(2);
    expect(ran.stderr).toMatch(reason);
    expect(ran.stdout).toBe('');
  });

  it('ends in an orderly way on SIGTERM, with the report and the record', async () => {
    const fifo = join(folder, 'wire');
    spawnSync('mkfifo', [fifo]);
    const log = join(folder, 'log.txt');
    const child = spawn(process.execPath, [
      WIREPIT,
      'listen',
      '--from',
      `raw:${fifo}`,
      '--headless',
      '--json',
      '--record',
      log,
    ]);
    let stdout = '';
    child.stdout.on('data', (text) => {
      stdout += text;
    });
    const closed = new Promise<number | null>((resolve) => child.once('close', resolve));
    const wire = openSync(fifo, constants.O_RDWR | constants.O_NONBLOCK);
    writeSync(wire, bytesOf('90 3C 40'));
    await until(() => readIfThere(log).includes('note on C4'), 'the record');
    child.kill('SIGTERM');
    expect(await closed).toBe(128 + 15);
    expect(JSON.parse(stdout)).toMatchObject({ heard: { messages: 1 }, soundingAtEnd: 1 });
    closeSync(wire);
  });
});

describe('wirepit listen on the screen', () => {
  it('shows what comes, finds the stuck note, and silences it at --thru by one key', async () => {
    const [from, thru] = [join(folder, 'from'), join(folder, 'thru')];
    spawnSync('mkfifo', [from, thru]);
    const module = openSync(thru, constants.O_RDWR | constants.O_NONBLOCK);
    const wire = openSync(from, constants.O_RDWR | constants.O_NONBLOCK);
    const run = runInPty(process.execPath, [
      WIREPIT,
      'listen',
      '--from',
      `raw:${from}`,
      '--thru',
      `raw:${thru}`,
    ]);
    try {
      await run.untilText('listening to');
      writeSync(wire, bytesOf('93 3C 40 41'));
      await run.untilText(/[1-9]\d* message/);
      run.send('z');
      let atModule = '';
      await until(() => {
        atModule += readFrom(module);
        return atModule.includes('833c40');
      }, 'the note-off at the module');
      run.send('q');
      expect((await run.untilExit()).code).toBe(0);
    } finally {
      await run.close();
      closeSync(wire);
      closeSync(module);
    }
  });
});

function readFrom(fd: number): string {
  const bytes = Buffer.alloc(4096);
  try {
    return bytes.subarray(0, readSync(fd, bytes)).toString('hex');
  } catch {
    return ''; // nothing there yet
  }
}

function readIfThere(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return '';
  }
}

describe('--against: held against a song while it comes in', () => {
  const song = 'songs/night-ferry.mid';
  const record = async (): Promise<string> => {
    const path = join(folder, 'night-ferry.txt');
    await answerOf([song, '--headless', '--clock', 'virtual', '--port', `file:${path}`]);
    return path;
  };
  const against = (path: string, ...more: string[]) =>
    answerOf(['listen', '--from', `file:${path}`, '--clock', 'virtual', '--against', song, ...more]);

  it('the same: exit 0, and in the report what compare says of the record', async () => {
    const path = await record();
    const { code, stdout } = await against(path, '--json');
    expect(code).toBe(0);
    const compared = await answerOf(['compare', song, path, '--json']);
    const { against: live, ...report } = JSON.parse(stdout);
    expect(report.schema).toBe('wirepit-listen/1');
    expect({ ...live, heard: '' }).toEqual({ ...JSON.parse(compared.stdout), heard: '' });
    expect(live.verdict).toBe('same');
  });

  it('notes that are not there: told with bar and beat, exit 1', async () => {
    const path = await record();
    const lines = readFileSync(path, 'utf8').split('\n');
    lines.splice(200, 4);
    writeFileSync(path, lines.join('\n'));
    const { code, stdout } = await against(path);
    expect(code).toBe(1);
    expect(stdout).toMatch(/[1-9]\d* missing/);
    expect(stdout).toMatch(/10:3 .* is missing/);
  });

  it('when it was stopped for a while it knows, tells, and leaves it in the record', async () => {
    const [fifo, log] = [join(folder, 'wire'), join(folder, 'log.txt')];
    spawnSync('mkfifo', [fifo]);
    const how = ['--against', song, '--record', log, '--headless', '--json'];
    const child = spawn(process.execPath, [WIREPIT, 'listen', '--from', `raw:${fifo}`, ...how]);
    let stdout = '';
    child.stdout.on('data', (text) => {
      stdout += text;
    });
    const closed = new Promise((resolve) => child.once('close', resolve));
    const wire = openSync(fifo, constants.O_RDWR | constants.O_NONBLOCK);
    writeSync(wire, bytesOf('90 3C 40'));
    await until(() => readIfThere(log).includes('note on C4'), 'the record');
    child.kill('SIGSTOP');
    await new Promise((resolve) => setTimeout(resolve, 250));
    writeSync(wire, bytesOf('90 3E 40'));
    child.kill('SIGCONT');
    await until(() => readIfThere(log).includes('note on D4'), 'what waited');
    await until(() => readIfThere(log).includes('stood still for'), 'a word on it');
    child.kill('SIGTERM');
    await closed;
    closeSync(wire);
    const report = JSON.parse(stdout);
    // On a busy machine it may stand still of itself, too.
    expect(report.standstills.count).toBeGreaterThan(0);
    expect(report.standstills.longestMicros).toBeGreaterThan(200_000);
    expect(report.against.standstills.longestMicros).toBeGreaterThan(200_000);
    const compared = JSON.parse((await answerOf(['compare', song, log, '--json'])).stdout);
    expect(compared.standstills.longestMicros).toBeGreaterThan(200_000);
  });

  it('a song that is not there, or the input itself: one line, exit 2', async () => {
    const path = await record();
    const missing = await answerOf(['listen', '--from', `file:${path}`, '--against', 'nowhere.mid']);
    expect(missing).toMatchObject({ code: 2, stdout: '' });
    const itself = await answerOf(['listen', '--from', `file:${path}`, '--against', path]);
    expect(itself.code).toBe(2);
    expect(itself.stderr.trim().split('\n')).toHaveLength(1);
    expect(missing.stderr).toMatch(/^wirepit: nowhere\.mid: no such file[^\n]*\n$/);
  });

  it('is not written over by --thru, whatever consent was given', async () => {
    const path = await record();
    const copy = join(folder, 'copy.mid');
    const bytes = readFileSync(song);
    writeFileSync(copy, bytes);
    const ran = await answerOf([
      ...['listen', '--from', `file:${path}`, '--clock', 'virtual', '--against', copy],
      ...['--thru', `file:${copy}`, '--replace'],
    ]);
    expect(ran).toMatchObject({ code: 2, stdout: '' });
    expect(ran.stderr).toMatch(/^wirepit: file:[^\n]*it is the file that is read[^\n]*\n$/);
    expect(readFileSync(copy)).toEqual(bytes);
  });

  it('on the virtual clock more than the threads’ memory holds is compared whole', async () => {
    const path = join(folder, 'long.mid');
    const events: DeltaEvent[] = [];
    for (let n = 0; n < 20_000; n += 1)
      events.push([6, [0x90, 40 + (n % 40), 80]], [6, [0x80, 40 + (n % 40), 64]]);
    writeFileSync(path, songBytes([events]));
    const sent = join(folder, 'long.txt');
    await answerOf([path, '--headless', '--clock', 'virtual', '--port', `file:${sent}`]);
    const { code, stdout } = await answerOf([
      ...['listen', '--from', `file:${sent}`, '--clock', 'virtual', '--against', path, '--json'],
    ]);
    expect(JSON.parse(stdout).against).toMatchObject({
      verdict: 'same',
      notes: { heard: 20_000, missing: 0 },
    });
    expect(code).toBe(0);
  });
});
