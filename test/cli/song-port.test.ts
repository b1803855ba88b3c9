import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { answerOf } from '../support/command-line.ts';
import { type DeltaEvent, meta, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('song-port');
const SONG = join(folder, 'wide.mid');
const LOW = [0x90, 40, 100];
const HIGH = [0x90, 80, 100];

/** Both parts on channel 1, each for a port of its own, and their notes cross. */
beforeAll(() => {
  const part = (port: number, [status, key]: number[], program: number): DeltaEvent[] => [
    [0, meta(0x21, [port])],
    [0, [0xc0, program]],
    [port, [status!, key!, 100]],
    [96, [0x80, key!, 64]],
  ];
  writeFileSync(SONG, songBytes([part(0, LOW, 1), part(1, HIGH, 2)], { format: 1 }));
});

async function played(...flags: string[]): Promise<number[]> {
  const record = join(folder, `${flags.join('') || 'all'}.bytes`);
  const run = await answerOf([
    ...['play', SONG, '--headless', '--clock', 'virtual', '--port', `file:${record}`],
    ...flags,
  ]);
  expect(run.code).toBe(0);
  const [port] = flags.slice(-1);
  if (port !== undefined) expect(run.stderr).toContain(`only the tracks for port ${port}\n`);
  // A record of a file port: a line for each message, its bytes in hex at the end.
  const text = readFileSync(record, 'latin1');
  return [...text.matchAll(/\b90 ([0-9a-f]{2}) 64\b/gi)].map(([, key]) => Number.parseInt(key!, 16));
}

test('play sends the tracks of one port, and check and fit are about them alone', async () => {
  expect(await played()).toEqual([40, 80]);
  expect(await played('--song-port', '0')).toEqual([40]);
  expect(await played('--song-port', '1')).toEqual([80]);

  const whole = JSON.parse((await answerOf(['check', SONG, '--json'])).stdout);
  expect(whole).toMatchObject({ verdict: 'does-not-fit', song: { ports: [0, 1] } });
  expect(JSON.stringify(whole.problems)).toContain('--song-port 0 takes those of one');
  const one = JSON.parse((await answerOf(['check', SONG, '--json', '--song-port', '1'])).stdout);
  expect(one).toMatchObject({ verdict: 'fits', song: { ports: [1] }, notes: { count: 1 } });
  expect(one.command).toEqual(['play', '--song-port', '1', SONG]);

  const out = join(folder, 'one.mid');
  expect((await answerOf(['fit', SONG, '--song-port', '1', '--out', out])).code).toBe(0);
  const fitted = JSON.parse((await answerOf(['check', out, '--json'])).stdout);
  expect(fitted).toMatchObject({ song: { ports: [1] }, notes: { count: 1 } });
  const compared = await answerOf(['compare', SONG, out, '--song-port', '1', '--json']);
  expect([compared.code, JSON.parse(compared.stdout).verdict]).toEqual([0, 'same']);
});

test('a port that no track asks for is refused in one line that names those there are', async () => {
  const { code, stderr } = await answerOf(['play', SONG, '--headless', '--song-port', '7']);
  expect(code).toBe(2);
  expect(stderr).toBe(
    `wirepit: ${SONG}: no track that asks for port 7 sends anything; give --song-port one of 0, 1, or leave it out\n`,
  );
});
