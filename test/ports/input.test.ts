import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { FilePort } from '../../src/ports/file/file-port.ts';
import { openHardwareInput, openVirtualInput } from '../../src/ports/hardware/input-hardware.ts';
import { openInput } from '../../src/ports/open-input.ts';
import { freePort, NearBoard } from '../support/far-board.ts';
import { heldFromNow } from '../support/held-by-process.ts';
import { hasSocat, PtyPair, until } from '../support/pty-pair.ts';
import { bytesOf, hexOf } from '../support/stream-log.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { FakeBinding } from './fake-binding.ts';
import { HeardSink, HOW, inputContract, realClock } from './input-contract.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('input');
});

inputContract('raw, from a FIFO', async () => {
  const path = join(folder, 'wire');
  spawnSync('mkfifo', [path]);
  const input = await openInput(`raw:${path}`, HOW);
  const fd = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
  return { input, send: (bytes) => void writeSync(fd, bytes), cleanup: () => closeSync(fd) };
});

for (const kind of ['serial', 'raw']) {
  inputContract(
    `${kind}, on a pty pair`,
    async () => {
      const pair = await PtyPair.plugged();
      const fd = openSync(pair.far, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
      const input = await openInput(`${kind}:${pair.near}`, HOW);
      return {
        input,
        send: (bytes) => void writeSync(fd, bytes),
        async cleanup() {
          closeSync(fd);
          await pair.remove();
        },
      };
    },
    !hasSocat,
  );
}

inputContract('rtp, on this machine', async () => {
  const port = await freePort();
  const input = await openInput(`rtp:127.0.0.1:${port}`, HOW);
  const near = new NearBoard(port);
  return { input, send: (bytes) => near.send(bytes), cleanup: () => near.close() };
});

inputContract('hardware (fake of the library)', async () => {
  const binding = new FakeBinding();
  const input = openHardwareInput('Fake Keys', binding, HOW);
  const client = () => binding.inputs.find((candidate) => candidate.port === 'Fake Keys 24:0');
  return { input, send: (bytes) => client()?.receive(bytes), cleanup: () => expect(binding.open).toBe(0) };
});

inputContract('virtual (fake of the library)', async () => {
  const binding = new FakeBinding([]);
  const input = openVirtualInput('Desk', binding, HOW);
  return {
    input,
    send: (bytes) => binding.inputs[0]?.receive(bytes),
    cleanup: () => expect(binding.open).toBe(0),
  };
});

describe('hardware input', () => {
  it('asks the library for what it drops by itself: SysEx, clock, Active Sensing', () => {
    const binding = new FakeBinding();
    const input = openHardwareInput('1', binding, HOW);
    expect(binding.inputs.at(-1)?.ignored).toEqual([false, false, false]);
    void input.close();
  });
  it('refuses a name that is none, or that means several, and keeps nothing', () => {
    const binding = new FakeBinding();
    expect(() => openHardwareInput('Nothing', binding, HOW)).toThrow(/there are 'Fake Module 20:0', 'Fake/);
    expect(() => openHardwareInput('fake', binding, HOW)).toThrow(/several ports/);
    expect(binding.open).toBe(0);
  });

  it('pulled out it is lost, and back under other numbers it is heard again', async () => {
    const binding = new FakeBinding(['Fake Keys 24:0']);
    const input = openHardwareInput('keys', binding, HOW);
    expect(input.name).toBe('interface:Fake Keys');
    const sink = new HeardSink();
    input.start(sink);
    binding.names = ['Fake Module 20:0'];
    await until(() => sink.events.at(-1) === 'lost', 'the loss');
    expect(binding.open).toBe(1); // the one that looks
    binding.names = ['Fake Module 20:0', 'Fake Keys 32:0'];
    binding.failOpen = true;
    await until(() => binding.inputs.length === 3, 'a try that fails');
    expect([sink.events, binding.open]).toEqual([['back', 'lost'], 1]);
    binding.failOpen = false;
    await until(() => sink.events.at(-1) === 'back', 'the return');
    const client = binding.inputs.at(-1)!;
    expect(client.port).toBe('Fake Keys 32:0');
    client.receive(bytesOf('90 3C 40'));
    expect(hexOf(await sink.has(3))).toBe('90 3C 40');
    expect(sink.events).toEqual(['back', 'lost', 'back']);
    await input.close();
    expect(binding.open).toBe(0);
  });

  it('may be waited for', async () => {
    const binding = new FakeBinding([]);
    const input = openHardwareInput('Fake Keys', binding, { ...HOW, waitForDevice: true });
    const sink = new HeardSink();
    input.start(sink);
    expect(sink.events).toEqual(['lost']);
    binding.names = ['Fake Keys 24:0'];
    await until(() => sink.events.at(-1) === 'back', 'the device');
    await input.close();
  });

  it('closes without a word where the device went first; a port of ours that cannot be made is refused', async () => {
    const binding = new FakeBinding();
    const input = openHardwareInput('Fake Keys', binding, HOW);
    binding.failClose = true;
    await input.close();
    binding.failOpen = true;
    const before = binding.open;
    expect(() => openVirtualInput('Desk', binding, HOW)).toThrow(
      'virtual:Desk: the MIDI library could not make the port; `wirepit ports` says what is missing',
    );
    expect(binding.open).toBe(before);
  });
});

describe.skipIf(!hasSocat)('an input that is pulled out', () => {
  it.each(['serial', 'raw'])('%s: says so, and finds the device again when it returns', async (kind) => {
    await (await PtyPair.plugged()).remove(); // the first wants more than later ones
    const held = heldFromNow();
    const pair = await PtyPair.plugged();
    const input = await openInput(`${kind}:${pair.near}`, HOW);
    const sink = new HeardSink();
    input.start(sink);
    await pair.unplug();
    await until(() => sink.events.at(-1) === 'lost', 'the loss');
    await pair.plug();
    await until(() => sink.events.at(-1) === 'back', 'the return');
    const fd = openSync(pair.far, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
    writeSync(fd, bytesOf('90 3C 40'));
    expect(hexOf(await sink.has(3))).toBe('90 3C 40');
    expect(sink.events).toEqual(['back', 'lost', 'back']);
    closeSync(fd);
    await input.close();
    await pair.remove();
    await held.givenBack();
  });
});

describe('a file of bytes', () => {
  async function heard(text: string | Uint8Array): Promise<HeardSink> {
    const path = join(folder, 'dump');
    writeFileSync(path, text);
    const input = await openInput(`file:${path}`, HOW);
    const sink = new HeardSink();
    input.start(sink);
    await until(() => sink.events.includes('ended'), 'the end');
    return sink;
  }

  it('without times comes at the pace of the wire: 320 µs a byte', async () => {
    const sink = await heard(bytesOf('90 3C 40 80 3C 40 F8 F8 F8 F8'));
    expect(hexOf(await sink.has(10))).toBe('90 3C 40 80 3C 40 F8 F8 F8 F8');
    expect(sink.times.at(-1)).toBe(10 * 320);
    const { paced } = await openInput(`file:${join(folder, 'dump')}`, HOW);
    expect(paced).toBe(false); // its bytes have their own times
  });

  it('what the file port wrote is read back with its times', async () => {
    const path = join(folder, 'sent.txt');
    const port = new FilePort(path);
    port.write(bytesOf('90 3C 40'), 0, 3, Float64Array.of(1000.5));
    port.write(bytesOf('3C 00'), 0, 2, Float64Array.of(501_000));
    port.close();
    const input = await openInput(`file:${path}`, HOW);
    const sink = new HeardSink();
    input.start(sink);
    expect(hexOf(await sink.has(5))).toBe('90 3C 40 3C 00');
    expect(sink.times).toEqual([0, 499_999.5]);
    await input.close();
  });

  it('keeps the order of the file where a time goes back (docs/file-port.md)', async () => {
    const sink = await heard('200 90 3C 40\n100 F8\n300 80 3C 40\n');
    expect(hexOf(await sink.has(7))).toBe('90 3C 40 F8 80 3C 40');
    expect(sink.times).toEqual([0, 0, 100]);
  });

  it('a text log is read back; a last line cut short by a kill is left out', async () => {
    const sink = await heard(
      '# wirepit log 1: …\n7\tser ial\t90 3C 40\tnote on\n# 8\tx\tremark\n9\tserial\t80 3',
    );
    expect(hexOf(await sink.has(3))).toBe('90 3C 40');
  });

  it('a log says when its listener stood still, before what came then, and counted from its first message', async () => {
    const head = '# wirepit log 1: …\n# 3000\tx\twirepit stood still for 1.0 ms: before anything came\n';
    const remark = (micros: number, millis: string) =>
      `# ${micros}\tx\twirepit stood still for ${millis} ms: what came meanwhile has this time\n`;
    const line = (micros: number, hex: string) => `${micros}\tx\t${hex}\tmeaning\n`;
    const sink = await heard(
      [
        head,
        line(5000, '90 3C 40'),
        line(95_000, '80 3C 40'),
        remark(95_000, '60.5'),
        line(99_000, '90 3C 40'),
        remark(200_000, '20.0'),
      ].join(''),
    );
    expect(sink.times).toEqual([0, 90_000, 94_000]);
    expect(sink.events).toEqual([
      'back',
      '1 chunks, then still from 29500 to 90000',
      '3 chunks, then still from 175000 to 195000',
      'ended',
    ]);
  });

  it.each([
    ['MThd\0\0', /that is a song, not a dump of bytes; play it/],
    ['100 90 3C 40\nnonsense\n200 90\n', /line 2: this line has no time and bytes/],
  ])('%j is refused', async (text, reason) => {
    await expect(heard(text)).rejects.toThrow(reason);
  });

  it('at the pace of its times it takes as long as they say, and sleeps in between', async () => {
    const path = join(folder, 'dump');
    writeFileSync(path, '0 90 3C 40\n60000 80 3C 40\n');
    let looks = 0;
    const clock = {
      nowMicros() {
        looks += 1;
        return realClock.nowMicros();
      },
    };
    const input = await openInput(`file:${path}`, { ...HOW, clock, pace: 'wire' });
    const sink = new HeardSink();
    const began = performance.now();
    input.start(sink);
    await sink.has(6);
    expect(performance.now() - began).toBeGreaterThanOrEqual(59);
    expect(sink.times[1]! - sink.times[0]!).toBeCloseTo(60_000, 3);
    expect(looks).toBeLessThan(20);
    await input.close();
  });

  it.each(['wire', 'at-once'] as const)(
    'closed at its first byte (%s) it is silent from then on',
    async (pace) => {
      const path = join(folder, 'dump');
      writeFileSync(path, `0 90 3C 40\n0 90 3C 41\n${'60000 80 3C 40\n'.repeat(5000)}`);
      const held = heldFromNow();
      const input = await openInput(`file:${path}`, { ...HOW, pace });
      const sink = new HeardSink();
      const hears = sink.bytes.bind(sink);
      sink.bytes = (chunk, micros) => {
        hears(chunk, micros);
        void input.close();
      };
      input.start(sink);
      await sink.has(3);
      for (let turns = 0; turns < 5; turns += 1) await new Promise((resolve) => setImmediate(resolve));
      expect([sink.count, sink.events]).toEqual([3, ['back']]);
      await held.givenBack();
    },
  );

  it('at once it waits for no clock, however long its times and however many', async () => {
    const path = join(folder, 'dump');
    const hours = Array.from({ length: 5000 }, (_, hour) => `${hour * 3.6e9} F8\n`);
    writeFileSync(path, hours.join(''));
    const input = await openInput(`file:${path}`, { ...HOW, clock: { nowMicros: () => 0 } });
    const sink = new HeardSink();
    input.start(sink);
    await until(() => sink.events.includes('ended'), 'the end');
    expect([sink.count, sink.times.at(-1)]).toEqual([5000, 4999 * 3.6e9]);
  });

  it('closed while it waits for a time that is far off it keeps nothing', async () => {
    const path = join(folder, 'dump');
    writeFileSync(path, '0 90 3C 40\n3600000000 80 3C 40\n');
    const held = heldFromNow();
    const input = await openInput(`file:${path}`, { ...HOW, pace: 'wire' });
    const sink = new HeardSink();
    input.start(sink);
    await sink.has(3);
    await input.close();
    await held.givenBack();
    expect([sink.count, sink.events]).toEqual([3, ['back']]);
  });

  it('an empty one has ended', async () => {
    expect((await heard('# nothing\n')).events).toEqual(['back', 'ended']);
  });
});

describe('names of inputs', () => {
  it.each(['nonsense', 'mock', 'serial:', 'stdin:1', ''])('%j is refused', async (spec) => {
    await expect(openInput(spec, HOW)).rejects.toThrow(/there is no such input; use interface:/);
  });
  it('a file that is not there', async () => {
    await expect(openInput(`file:${folder}/none`, HOW)).rejects.toThrow(/cannot be read \(ENOENT\)/);
  });
  it('a FIFO that is not there', async () => {
    await expect(openInput(`raw:${folder}/none`, HOW)).rejects.toThrow(/there is no such device/);
  });
});
