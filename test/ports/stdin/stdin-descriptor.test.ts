import { spawnSync } from 'node:child_process';
import { pbkdf2 } from 'node:crypto';
import { closeSync, constants, openSync, readSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as waitMillis } from 'node:timers/promises';
import { promisify } from 'node:util';
import { describe, expect, test } from 'vitest';
import { openStdinInput } from '../../../src/ports/stdin/input-stdin.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { hasSocat, PtyPair, until } from '../../support/pty-pair.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { HeardSink, HOW, inputContract } from '../input-contract.ts';

const { O_RDONLY, O_WRONLY, O_RDWR, O_NONBLOCK, O_NOCTTY } = constants;

function fifo(): string {
  const path = join(tempFolder('stdin'), 'pipe');
  spawnSync('mkfifo', [path]);
  return path;
}

inputContract('stdin, a pipe', async () => {
  const path = fifo();
  const input = openStdinInput(HOW, openSync(path, O_RDONLY | O_NONBLOCK));
  const writer = openSync(path, O_RDWR | O_NONBLOCK);
  return { input, send: (bytes) => void writeSync(writer, bytes), cleanup: () => closeSync(writer) };
});

inputContract(
  'stdin, a terminal that does not block',
  async () => {
    const pair = await PtyPair.plugged();
    const descriptor = openSync(pair.near, O_RDONLY | O_NONBLOCK | O_NOCTTY);
    const writer = openSync(pair.far, O_WRONLY | O_NONBLOCK | O_NOCTTY);
    return {
      input: openStdinInput(HOW, descriptor),
      send: (bytes) => void writeSync(writer, bytes),
      async cleanup() {
        closeSync(writer);
        closeSync(descriptor);
        await pair.remove();
      },
    };
  },
  !hasSocat,
);

test.skipIf(!hasSocat)(
  'a read under way has ended with closing: who has the descriptor next keeps its bytes',
  async () => {
    const pair = await PtyPair.plugged();
    const path = join(tempFolder('stdin'), 'bytes');
    writeFileSync(path, new Uint8Array(100));
    const descriptor = openSync(pair.near, O_RDONLY | O_NONBLOCK | O_NOCTTY);
    const input = openStdinInput(HOW, descriptor);
    input.start(new HeardSink());
    await waitMillis(20);
    // The runtime's four threads are busy: the read that comes next waits for them.
    const work = Array.from({ length: 4 }, () => promisify(pbkdf2)('busy', 'salt', 200_000, 64, 'sha512'));
    await waitMillis(5);
    await input.close();
    closeSync(descriptor);
    const opened = [openSync(path, O_RDONLY)];
    while (opened.at(-1)! < descriptor) opened.push(openSync(path, O_RDONLY));
    const file = opened.at(-1)!;
    expect(file).toBe(descriptor);
    await Promise.all(work);
    await waitMillis(20);
    expect(readSync(file, new Uint8Array(200))).toBe(100);
    for (const one of opened) closeSync(one);
    await pair.remove();
  },
);

describe('what stands for standard input', () => {
  async function heard(path: string) {
    const descriptor = openSync(path, O_RDONLY);
    const sink = new HeardSink();
    const input = openStdinInput(HOW, descriptor);
    input.start(sink);
    await until(() => sink.events.length === 2, 'the end');
    await input.close();
    closeSync(descriptor);
    return sink;
  }

  test('a file is read to its end', async () => {
    const path = join(tempFolder('stdin'), 'bytes');
    const bytes = Uint8Array.from({ length: 10_001 }, (_, at) => at % 251);
    writeFileSync(path, bytes);
    const sink = await heard(path);
    expect(await sink.has(10_001)).toEqual(bytes);
    expect(sink.events).toEqual(['back', 'ended']);
  });

  test('nothing has ended', async () => {
    expect((await heard('/dev/null')).events).toEqual(['back', 'ended']);
  });

  test('what cannot be read says why', async () => {
    const why = 'standard input cannot be read (EISDIR), so nothing more is heard';
    expect((await heard('/')).events).toEqual(['back', `ended: ${why}`]);
  });

  test('a pipe has ended with its last writer', async () => {
    const path = fifo();
    const descriptor = openSync(path, O_RDONLY | O_NONBLOCK);
    const writer = openSync(path, O_WRONLY | O_NONBLOCK);
    const sink = new HeardSink();
    const held = heldFromNow();
    const input = openStdinInput(HOW, descriptor);
    input.start(sink);
    writeSync(writer, bytesOf('90 3C 40'));
    expect(await sink.has(3)).toEqual(bytesOf('90 3C 40'));
    expect(sink.events).toEqual(['back']);
    closeSync(writer);
    await until(() => sink.events.length === 2, 'the end');
    expect(sink.events).toEqual(['back', 'ended']);
    await input.close();
    await held.givenBack();
  });
});
