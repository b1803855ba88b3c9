import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, readFileSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readByteDump } from '../../src/core/capture/byte-dump.ts';
import { faultsSince, Heard, SENSING } from '../../src/core/observe/listen-state.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { findStuckNotes } from '../../src/core/observe/stuck-notes.ts';
import type { Listener, ListenOptions } from '../../src/listen/listener.ts';
import { startListener } from '../../src/listen/start-listener.ts';
import { startWorkerListener } from '../../src/listen/worker-listener.ts';
import { type FarEnd, farEnd } from '../support/far-end.ts';
import { hasSocat, PtyPair, until } from '../support/pty-pair.ts';
import { bytesOf, hexOf, readStream } from '../support/stream-log.ts';
import { tempFolder } from '../support/temp-folder.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('listen');
});

/** Listens to a dump as fast as it goes, to its end. */
async function heardFrom(dump: string | Uint8Array, options: Partial<ListenOptions> = {}): Promise<Listener> {
  const path = join(folder, 'dump');
  writeFileSync(path, dump);
  const listener = await startListener({ from: `file:${path}`, pace: 'at-once', ...options });
  expect(await listener.ended).toEqual({ kind: 'ended' });
  return listener;
}

/** Strikes less releases at the far end, by an independent reading: `channel:key` of what still sounds. */
function soundingIn(bytes: Uint8Array): string[] {
  const strikes = new Map<string, number>();
  for (const message of readStream([bytes]).messages) {
    const [status = 0, key = 0, velocity = 0] = bytesOf(message.replace('!', ''));
    const name = `${status & 15}:${key}`;
    if (status >> 4 === 9 && velocity > 0) strikes.set(name, (strikes.get(name) ?? 0) + 1);
    else if (status >> 4 === 8 || status >> 4 === 9)
      strikes.set(name, Math.max(0, (strikes.get(name) ?? 0) - 1));
  }
  return [...strikes].filter(([, count]) => count > 0).map(([name]) => name);
}

describe('what comes in is folded into the lanes', () => {
  it('notes, programs, controllers; running status; the wire at 320 µs a byte', async () => {
    const { observed, listen } = await heardFrom(
      bytesOf('C2 46 B2 07 64 92 30 60 3C 60 F0 7E 7F 06 01 F7 F8 92 30 00'),
    );
    expect(observed.program[2]).toBe(70);
    expect(observed.controller[2 * 128 + 7]).toBe(100);
    expect(observed.sounding[2]).toBe(1);
    expect(observed.velocity[2 * 128 + 60]).toBe(0x60);
    expect(observed.noteOns[2]).toBe(2);
    expect(listen.numbers[Heard.messages]).toBe(7);
    expect(listen.numbers[Heard.sysEx]).toBe(1);
    expect(listen.numbers[Heard.bytes]).toBe(20);
    expect(observed.numbers[Slot.bytesSent]).toBe(20);
    expect(observed.numbers[Slot.wireFreeMicros]).toBeGreaterThanOrEqual(20 * 320);
  });

  it('faults, each with its place and bytes, which the wire carried too', async () => {
    const { listen, observed } = await heardFrom(bytesOf('40 90 3C F5 41 90 3C 40'));
    expect(faultsSince(listen, 0).map(({ offset, bytes }) => `${offset}: ${hexOf(bytes)}`)).toEqual([
      '1: 90 3C',
      '3: F5',
      '4: 41',
    ]);
    expect(listen.numbers[Heard.rest]).toBe(1);
    expect(observed.numbers[Slot.bytesSent]).toBe(8);
  });

  it('tempo by the clock, and Active Sensing that runs out ends the notes it watched over', async () => {
    const lines = ['0 FE', '1000 90 3C 40'];
    for (let pulse = 0; pulse < 30; pulse += 1) lines.push(`${2000 + pulse * 25_000} F8`);
    lines.push('1500000 F6'); // 773 ms after the last pulse
    const { observed, listen } = await heardFrom(`${lines.join('\n')}\n`);
    expect(listen.numbers[Heard.clocks]).toBe(30);
    expect(listen.numbers[Heard.sensing]).toBe(SENSING.lost);
    expect(listen.numbers[Heard.sensingLost]).toBe(1);
    expect(observed.sounding[0]).toBe(0);
  });
});

describe('a stuck note of a foreign machine', () => {
  let listener: Listener;
  let wire: number;
  let module: FarEnd;

  /** A FIFO from the foreign machine, and one to the module. */
  async function between(options: Partial<ListenOptions> = {}): Promise<void> {
    const [from, thru] = [join(folder, 'from'), join(folder, 'thru')];
    spawnSync('mkfifo', [from, thru]);
    module = farEnd(thru);
    listener = await startListener({ from: `raw:${from}`, thru: `raw:${thru}`, ...options });
    wire = openSync(from, constants.O_WRONLY | constants.O_NONBLOCK);
  }
  afterEach(async () => {
    await listener.close();
    closeSync(wire);
    module.close();
  });
  const send = (hex: string) => void writeSync(wire, bytesOf(hex));

  it('is passed on, found by its age, and silenced at the module by one command', async () => {
    await between();
    send('93 3C 40 93 40 40 83 40 00');
    expect(hexOf(await module.received(8))).toBe('93 3C 40 40 40 83 40 00');
    const stuck = findStuckNotes(listener.observed, undefined, listener.nowMicros() + 60_000_000);
    expect(stuck).toMatchObject([{ channel: 3, key: 60, cause: 'too-long' }]);
    listener.send({ kind: 'silence-note', channel: 3, key: 60 });
    expect(hexOf((await module.received(10)).subarray(8))).toBe('3C 40'); // 83 still runs
    expect(listener.observed.sounding[3]).toBe(0);
  });

  it('muting ends what sounds, holds note-ons back and lets state through; unmuting needs nothing more', async () => {
    await between();
    send('90 3C 40 91 3C 40 B0 07 50');
    await module.received(9);
    listener.send({ kind: 'mute', channel: 0, on: true });
    await until(() => listener.observed.muted[0] === 1);
    send('90 40 40 C0 05 91 40 40');
    await until(() => listener.observed.heldBack[0] === 1, 'the note to be held back');
    listener.send({ kind: 'mute', channel: 0, on: false });
    send('90 43 40');
    await until(() => listener.observed.strikes[67] === 1);
    await listener.close();
    const { messages } = readStream([await module.received(1)]);
    expect(messages).toContain('80 3C 40');
    expect(messages).toContain('C0 05');
    expect(messages).not.toContain('90 40 40');
    expect(messages).toContain('91 40 40');
    expect(messages).toContain('90 43 40');
  });

  it('nothing is left sounding at the module when listening ends', async () => {
    await between();
    send('90 3C 40 3C 40 3E 40 B0 40 7F 95 24 7F');
    await until(() => listener.listen.numbers[Heard.messages] === 5);
    await listener.close();
    const bytes = await module.received(20);
    expect(soundingIn(bytes)).toEqual([]);
    expect(readStream([bytes]).messages).toEqual(
      expect.arrayContaining(['B0 40 00', 'B0 7B 00', 'B0 78 00', 'B5 78 00']),
    );
  });

  it('what still comes in while the last silence is on its way is not passed on', async () => {
    await between();
    const chord = Array.from(
      { length: 100 },
      (_, i) => `9${(i % 16).toString(16)} ${(20 + i).toString(16)} 40`,
    );
    send(chord.join(' '));
    await until(() => listener.listen.numbers[Heard.messages] === 100);
    const closed = listener.close();
    send('90 7E 40 91 7E 40');
    await closed;
    expect(soundingIn(await module.received(100))).toEqual([]);
  });

  it('SysEx passes whole when it is universal, and is held back otherwise', async () => {
    await between();
    const long = `F0 7E 00 09 ${'11 '.repeat(600)}F7`;
    send('F0 7E 7F 09 01 F7 F0 43 12 00 07 F7');
    send(long);
    await until(() => listener.listen.numbers[Heard.sysEx] === 3);
    await until(() => listener.observed.numbers[Slot.heldSysEx] === 1);
    const bytes = await module.received(6 + 605);
    expect(readStream([bytes]).messages.map((text) => text.length)).toEqual([17, 605 * 3 - 1]);
  });

  it('a module that goes away and comes back is silenced, told the state again, and gets what follows', async () => {
    await between();
    send('B0 07 50 C0 05 90 3C 40');
    await until(() => listener.listen.numbers[Heard.messages] === 3);
    module.close();
    send('90 40 40');
    await until(() => listener.observed.numbers[Slot.portTrouble] === 2, 'the loss');
    send('B0 07 60');
    module = farEnd(join(folder, 'thru'));
    await until(() => listener.observed.numbers[Slot.portTrouble] === 0, 'the return');
    send('90 43 40');
    const { messages } = readStream([await module.received(16)]);
    expect(messages).toEqual(
      expect.arrayContaining(['80 3C 40', 'B0 78 00', 'C0 05', 'B0 07 60', '90 43 40']),
    );
    expect(messages.indexOf('90 43 40')).toBeGreaterThan(messages.indexOf('C0 05'));
  });
});

describe.skipIf(!hasSocat)('one UART, in and out', () => {
  it('listens on its input and passes on to its output; pulled out, it comes back', async () => {
    const pair = await PtyPair.plugged();
    let far = openSync(pair.far, constants.O_RDWR | constants.O_NONBLOCK | constants.O_NOCTTY);
    const listener = await startListener({ from: `serial:${pair.near}`, thru: `serial:${pair.near}` });
    let module = farEnd(pair.far);
    writeSync(far, bytesOf('90 3C 40'));
    expect(hexOf(await module.received(3))).toBe('90 3C 40');
    await pair.unplug();
    await until(() => listener.listen.numbers[Heard.inputTrouble] === 1, 'the loss');
    expect(listener.observed.sounding[0]).toBe(0);
    closeSync(far);
    module.close();
    await pair.plug();
    await until(() => listener.listen.numbers[Heard.inputTrouble] === 0, 'the return');
    far = openSync(pair.far, constants.O_RDWR | constants.O_NONBLOCK | constants.O_NOCTTY);
    module = farEnd(pair.far);
    writeSync(far, bytesOf('91 3C 40'));
    await until(() => listener.observed.sounding[1] === 1);
    await until(() => listener.observed.numbers[Slot.portTrouble] === 0, 'the output');
    await listener.close();
    closeSync(far);
    module.close();
    await pair.remove();
  });
});

describe('the record of what was heard', () => {
  it('gives the same bytes and times when it is listened to again', async () => {
    const dump = '0 FE\n1000 90 3C 40\n2000 40 40\n700000 80 3C 40 40 40\n700500 F0 43 12 00 07 F7\n';
    const first = join(folder, 'first.txt');
    await heardFrom(dump, { recordPath: first });
    const second = join(folder, 'second.txt');
    const again = await startListener({ from: `file:${first}`, pace: 'at-once', recordPath: second });
    await again.ended;
    expect(readFileSync(second, 'utf8').replaceAll(first, 'x')).toBe(
      readFileSync(first, 'utf8').replaceAll(join(folder, 'dump'), 'x'),
    );
    const read = readByteDump(readFileSync(first));
    expect(
      read.kind === 'timed' && read.chunks.map(({ micros, bytes }) => `${micros} ${hexOf(bytes)}`),
    ).toEqual([
      '0 FE',
      '1000 90 3C 40',
      '2000 90 40 40',
      '700000 80 3C 40',
      '700000 80 40 40',
      '700500 F0 43 12 00 07 F7',
    ]);
  });
});

describe('a thread of its own', () => {
  it('shows the same through shared memory, obeys commands, and ends', async () => {
    const from = join(folder, 'from');
    spawnSync('mkfifo', [from]);
    const listener = await startWorkerListener({ from: `raw:${from}` });
    const wire = openSync(from, constants.O_WRONLY | constants.O_NONBLOCK);
    writeSync(wire, bytesOf('95 3C 40 41'));
    await until(() => listener.observed.sounding[5] === 1);
    expect(Math.abs(listener.observed.onsetMicros[5 * 128 + 60]! - listener.nowMicros())).toBeLessThan(5e6);
    listener.send({ kind: 'silence-channel', channel: 5 });
    await until(() => listener.observed.sounding[5] === 0);
    await listener.close();
    await listener.close();
    expect(await listener.ended).toEqual({ kind: 'quit' });
    expect(listener.listen.numbers[Heard.faults]).toBe(1); // the half message at the end
    closeSync(wire);
  });
  it('hands a refusal on', async () => {
    await expect(startWorkerListener({ from: 'serial:/dev/no-such-uart' })).rejects.toThrow(
      /there is no such device/,
    );
    await expect(startWorkerListener({ from: `raw:${folder}` })).rejects.toThrow(/a directory/);
  });
});
