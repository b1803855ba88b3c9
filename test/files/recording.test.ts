import { spawn } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseMidi } from 'midi-file';
import { beforeEach, describe, expect, it } from 'vitest';
import { readSong } from '../../src/core/smf/read-song.ts';
import { Recording } from '../../src/files/recording.ts';
import { until } from '../support/pty-pair.ts';
import { bytesOf } from '../support/stream-log.ts';
import { tempFolder } from '../support/temp-folder.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('recording');
});

function feed(recording: Recording, port: number, micros: number, hex: string): void {
  const bytes = bytesOf(hex);
  recording.feed(port, bytes, 0, bytes.length, micros);
}

describe('a text log', () => {
  it('has time, port, bytes and meaning in columns, and remarks for what was wrong', () => {
    const path = join(folder, 'log.txt');
    const recording = new Recording(path, ['serial:/dev/ttyS0', 'mock'], 0);
    feed(recording, 0, 500_000, '90 3C 40');
    feed(recording, 0, 500_960.5, '40 00');
    feed(recording, 1, 600_000, 'F0 7E 7F 09 01 F7 41');
    recording.close();
    expect(readFileSync(path, 'utf8').split('\n')).toEqual([
      '# wirepit log 1: run time in microseconds, port, bytes in hex, meaning',
      '500000\tserial:/dev/ttyS0\t90 3C 40\tchannel 1: note on C4, velocity 64',
      '500960.5\tserial:/dev/ttyS0\t90 40 00\tchannel 1: note off E4 (velocity 0)',
      '600000\tmock\tF0 7E 7F 09 01 F7\tGeneral MIDI System On, 6 bytes',
      '# 600000\tmock\tbyte 6: data byte with no status before it: 41',
      '',
    ]);
  });
});

describe('a song file', () => {
  it('is a whole song after every flush, and its end of track moves on', async () => {
    const path = join(folder, 'take.mid');
    const recording = new Recording(path, ['mock'], 5);
    for (let i = 0; i < 20; i += 1) {
      feed(recording, 0, i * 1000, `90 ${(60 + i).toString(16)} 40`);
      const before = i;
      await until(() => readSong(readFileSync(path)).events.count >= before + 1 + 3, 'the flush');
      const song = readSong(readFileSync(path));
      expect(song.findings).toEqual([]);
      expect(
        parseMidi(readFileSync(path)).tracks[0]!.filter((event) => event.type === 'noteOn'),
      ).toHaveLength(i + 1);
    }
    recording.close();
  });

  it('killed between its two writes, the file still gives everything that was written', () => {
    const path = join(folder, 'take.mid');
    const recording = new Recording(path, ['mock'], 0);
    for (let key = 60; key < 70; key += 1) feed(recording, 0, key * 1000, `90 ${key.toString(16)} 40`);
    recording.close();
    const file = readFileSync(path);
    const whole = readSong(file).events.count;
    file.writeUInt32BE(file.readUInt32BE(18) + 500, 18); // the raised length, without the events it is for
    expect(readSong(file).events.count).toBe(whole);
    expect(parseMidi(file).tracks[0]).toHaveLength(whole);
  });

  it('takes system messages from one port only when there are several', () => {
    const path = join(folder, 'two.mid');
    const recording = new Recording(path, ['mock', 'file:x'], 0);
    for (const port of [0, 1]) feed(recording, port, 0, 'F8');
    feed(recording, 1, 100, '91 3C 40');
    recording.close();
    const song = readSong(readFileSync(path));
    expect(
      [...song.events.status.subarray(0, song.events.count)].filter((status) => status !== 0xff),
    ).toEqual([0xf7, 0x91]);
  });
});

describe('what happens to files', () => {
  it('never writes over one that is there', () => {
    const path = join(folder, 'precious.mid');
    writeFileSync(path, 'precious');
    expect(() => new Recording(path, ['mock'])).toThrow(
      /precious\.mid: the file exists already; choose a new name/,
    );
    expect(readFileSync(path, 'utf8')).toBe('precious');
  });

  it('leaves no empty record behind', () => {
    const path = join(folder, 'nothing.mid');
    const recording = new Recording(path, ['mock']);
    expect(readSong(readFileSync(path)).findings).toEqual([]);
    recording.close();
    expect(() => readFileSync(path)).toThrow(/ENOENT/);
  });

  it('refuses a folder that is not there', () => {
    expect(() => new Recording(join(folder, 'none/x.mid'), ['mock'])).toThrow(/cannot be written \(ENOENT\)/);
  });

  it.each(['take.mid', 'take.txt'])('a killed run leaves %s readable up to the last second', async (name) => {
    const path = join(folder, name);
    // A program that records one note every 10 ms and says how many it has fed, until it is killed.
    const script = `
      import { Recording } from '${new URL('../../src/files/recording.ts', import.meta.url).href}';
      const recording = new Recording(${JSON.stringify(path)}, ['mock']);
      const started = performance.now();
      let count = 0;
      setInterval(() => {
        recording.feed(0, Uint8Array.of(0x90, 60, 64), 0, 3, (performance.now() - started) * 1000);
        count += 1;
        process.stdout.write(count + '\\n');
      }, 10);
      setInterval(() => {}, 1000);
    `;
    const file = join(folder, 'run.mts');
    writeFileSync(file, script);
    const child = spawn(process.execPath, ['--import', 'tsx', file], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let fed = 0;
    child.stdout.on('data', (text: Buffer) => {
      fed = Number(text.toString().trim().split('\n').at(-1));
    });
    await until(() => fed > 150, 'a second and a half of notes', 45_000);
    const exited = new Promise((resolve) => child.once('exit', resolve));
    const atKill = fed;
    child.kill('SIGKILL');
    await exited;
    const kept = name.endsWith('.mid')
      ? parseMidi(readFileSync(path)).tracks[0]!.filter((event) => event.type === 'noteOn').length
      : readFileSync(path, 'utf8')
          .split('\n')
          .filter((line) => line.includes('note on')).length;
    expect(kept).toBeGreaterThan(atKill - 100); // 100 notes are a second
  });
});
