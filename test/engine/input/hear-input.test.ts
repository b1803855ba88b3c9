import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { Wake } from '../../../src/engine/clock/wake.ts';
import { hearInput } from '../../../src/engine/input/hear-input.ts';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { InputRing } from '../../../src/engine/input/input-ring.ts';
import { ScriptedInput, scriptOf } from '../../../src/engine/input/scripted-input.ts';
import { freePort, NearBoard } from '../../support/far-board.ts';
import { until } from '../../support/pty-pair.ts';
import { tempFolder } from '../../support/temp-folder.ts';

test('what comes to a FIFO is in the ring, the sender is woken, and closing frees it all', async () => {
  const path = join(tempFolder('input'), 'keyboard');
  execFileSync('mkfifo', [path]);
  const wake = new Wake();
  const before = wake.signal();
  const input = await hearInput(`raw:${path}`, { waitForDevice: false, wake: wake.buffer, tell: () => {} });
  const ring = new InputRing(input.ring.buffer);
  const fd = openSync(path, constants.O_WRONLY | constants.O_NONBLOCK);
  writeSync(fd, Uint8Array.of(0x90, 60, 100, 62, 100, 64, 100, 0xc1));
  const bytes: number[] = [];
  await until(() => {
    while (ring.take(Float64Array.of(0)) !== Fed.nothing) bytes.push(...ring.bytes.subarray(0, ring.count));
    return bytes.length >= 9;
  });
  // Whole messages: one that is not whole yet waits for the rest.
  expect(bytes).toEqual([0x90, 60, 100, 0x90, 62, 100, 0x90, 64, 100]);
  expect(wake.signal()).toBeGreaterThan(before);
  expect(Math.abs(ring.arrivedMicros[0]! - Number(process.hrtime.bigint()) / 1000)).toBeLessThan(60e6);
  await input.close();
  await input.close();
  closeSync(fd);
});

test('an input that is not there is refused in a sentence', async () => {
  const how = { waitForDevice: false, wake: new Wake().buffer, tell: () => {} };
  await expect(hearInput('raw:/nowhere/keyboard', how)).rejects.toMatchObject({
    where: 'raw:/nowhere/keyboard',
  });
});

test('a file is read to its end, each entry at its own time', async () => {
  const path = join(tempFolder('input'), 'played');
  writeFileSync(path, '1000 90 3C 40\n251000 80 3C 40\n');
  const script = new ScriptedInput(await scriptOf(`file:${path}`));
  const now = Float64Array.of(0);
  const next = Float64Array.of(Number.POSITIVE_INFINITY);
  expect(script.take(now)).toBe(Fed.back);
  expect(script.take(now)).toBe(Fed.bytes);
  expect([...script.bytes.subarray(0, script.count)]).toEqual([0x90, 0x3c, 0x40]);
  expect(script.take(now)).toBe(Fed.nothing);
  script.next(next);
  expect(next[0]).toBe(250_000);
  now[0] = 250_000;
  expect([script.take(now), script.take(now), script.take(now)]).toEqual([Fed.bytes, Fed.ended, Fed.nothing]);
});

test('packets that a network lost are told, as beside any other trouble of an input', async () => {
  const port = await freePort();
  const told: string[] = [];
  const how = {
    waitForDevice: false,
    wake: new Wake().buffer,
    tell: (trouble: string) => told.push(trouble),
  };
  const input = await hearInput(`rtp:127.0.0.1:${port}@0`, how);
  const ring = new InputRing(input.ring.buffer);
  const near = new NearBoard(port);
  const hear = (count: number) => {
    let bytes = 0;
    return until(() => {
      while (ring.take(Float64Array.of(0)) !== Fed.nothing) bytes += ring.count;
      return bytes >= count;
    });
  };
  await near.send(Uint8Array.of(0x90, 60, 100));
  await hear(3);
  near.lose(Uint8Array.of(0x80, 60, 64));
  await near.send(Uint8Array.of(0x90, 62, 100));
  await hear(6); // the journal's release and the note
  await input.close();
  expect(told).toEqual([
    `rtp:127.0.0.1:${port}@0: 1 of 3 packets lost, 1 of them recovered; 0 came too late`,
  ]);
  near.close();
});
