import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { Wake } from '../../../src/engine/clock/wake.ts';
import { earsOf } from '../../../src/engine/input/ear.ts';
import { hearInput } from '../../../src/engine/input/hear-input.ts';
import { hearInputs, type InputNames, readInputs } from '../../../src/engine/input/heard-inputs.ts';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { InputRing } from '../../../src/engine/input/input-ring.ts';
import { ScriptedInput, scriptOf } from '../../../src/engine/input/scripted-input.ts';
import { freePort, NearBoard } from '../../support/far-board.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { until } from '../../support/pty-pair.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const NOW = Float64Array.of(0);

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
  // Whoever still reads learns that nothing more will come.
  expect(ring.input).toBe(Fed.ended);
  expect([ring.take(NOW), ring.take(NOW)]).toEqual([Fed.ended, Fed.nothing]);
});

test('an input that has ended by itself has ended once', async () => {
  const path = join(tempFolder('input'), 'played');
  writeFileSync(path, '0 90 3C 40\n');
  const input = await hearInput(`file:${path}`, {
    waitForDevice: false,
    wake: new Wake().buffer,
    tell: () => {},
  });
  await until(() => input.ring.input === Fed.ended, 'the end');
  await input.close();
  const told: number[] = [];
  for (let what = input.ring.take(NOW); what !== Fed.nothing; what = input.ring.take(NOW)) told.push(what);
  expect(told).toEqual([Fed.back, Fed.bytes, Fed.ended]);
});

test('what is known beforehand says how it is as it is taken; bytes and gaps change nothing of that', () => {
  const script = new ScriptedInput();
  for (const what of [Fed.back, Fed.cut, Fed.lost]) script.tell(10, what);
  script.add(10, Uint8Array.of(0xf8));
  script.tell(20, Fed.ended);
  const now = Float64Array.of(10);
  const told: number[][] = [];
  do {
    now[0]! += 10;
    for (let what = script.take(now); what !== Fed.nothing; what = script.take(now)) {
      told.push([what, script.input, script.count, script.arrivedMicros[0]!]);
    }
  } while (now[0]! < 30);
  expect(told).toEqual([
    [Fed.back, Fed.back, 0, 10],
    [Fed.cut, Fed.back, 0, 10],
    [Fed.lost, Fed.lost, 0, 10],
    [Fed.bytes, Fed.lost, 1, 10],
    [Fed.ended, Fed.ended, 0, 20],
  ]);
});

test('what cannot be read beforehand is refused, not waited for', async () => {
  await expect(scriptOf('raw:/nowhere/keyboard')).rejects.toMatchObject({ where: 'raw:/nowhere/keyboard' });
});

describe('the inputs of a whole run', () => {
  test('an input that is named twice is one, heard for both; on a virtual clock each is read beforehand', async () => {
    const path = join(tempFolder('input'), 'played');
    writeFileSync(path, '0 F8\n');
    const from = `file:${path}`;
    const uses = async (names: InputNames) => (await readInputs(names)).request.ears;
    expect(await uses({})).toEqual([]);
    expect(await uses({ clock: from, visitor: from })).toMatchObject([
      { spec: from, clock: true, visitor: true },
    ]);
    expect(await uses({ visitor: from })).toMatchObject([{ spec: from, clock: false, visitor: true }]);
    const [ear] = await uses({ clock: from });
    expect(ear).toMatchObject({ spec: from, clock: true, visitor: false });
    expect(ear!.script!.map(({ what }) => what)).toEqual([Fed.back, Fed.bytes, Fed.ended]);
    const [fed] = earsOf({ ears: [ear!] });
    expect([fed!.feed.take(NOW), fed!.clock, fed!.visitor]).toEqual([Fed.back, true, false]);
  });

  test('each is open until all are closed; whose clock ended is known', async () => {
    const folder = tempFolder('input');
    const [clock, keyboard] = [join(folder, 'clock'), join(folder, 'keyboard')];
    writeFileSync(clock, '0 F8\n');
    execFileSync('mkfifo', [keyboard]);
    const heard = await hearInputs({ clock: `file:${clock}`, visitor: `raw:${keyboard}` }, false);
    await until(() => heard.clockHasEnded, 'the end of the clock');
    expect(heard.troubles).toEqual([]);
    expect(heard.request.ears.map(({ clock: isClock, visitor }) => [isClock, visitor])).toEqual([
      [true, false],
      [false, true],
    ]);
    const [, ear] = earsOf(heard.request);
    expect(ear!.feed.take(NOW)).toBe(Fed.back);
    await heard.close();
    expect(ear!.feed.input).toBe(Fed.ended);
    const alone = await hearInputs({ visitor: `file:${clock}` }, false);
    await until(() => earsOf(alone.request)[0]!.feed.input === Fed.ended, 'the end');
    expect(alone.clockHasEnded).toBe(false);
    await alone.close();
  });

  test('one that is refused closes those before it', async () => {
    const keyboard = join(tempFolder('input'), 'keyboard');
    execFileSync('mkfifo', [keyboard]);
    const held = heldFromNow();
    const opening = hearInputs({ clock: `raw:${keyboard}`, visitor: 'raw:/nowhere/keyboard' }, false);
    await expect(opening).rejects.toMatchObject({ where: 'raw:/nowhere/keyboard' });
    await held.givenBack();
  });
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
