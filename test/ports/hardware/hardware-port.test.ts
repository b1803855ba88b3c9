import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { hardwareMeant } from '../../../src/ports/hardware/choice-refusal.ts';
import { keepHardware } from '../../../src/ports/hardware/hardware-keeper.ts';
import { chooseHardware } from '../../../src/ports/hardware/hardware-name.ts';
import { HARDWARE_WIRE, HardwarePort } from '../../../src/ports/hardware/hardware-port.ts';
import {
  hardwareTrouble,
  probeAnswer,
  probeHardware,
  probeInChild,
} from '../../../src/ports/hardware/hardware-trouble.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { listPorts } from '../../../src/ports/port-list.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { FakeBinding } from '../fake-binding.ts';

const AT = new Float64Array(2);
const write = (port: OutputPort, hex: string) => port.write(bytesOf(hex), 0, bytesOf(hex).length, AT);

describe('which hardware port a name means', () => {
  const names = ['Desk Module:Desk Module MIDI 1 20:0', 'Keys 24:0', 'Desk Box 28:0'];
  it.each([
    ['1', 1],
    ['keys', 1],
    ['module', 0],
    ['Desk Box', 2],
    ['Desk Module:Desk Module MIDI 1', 0],
    ['Desk Box 30:0', 2], // plugged in again, it has other numbers
  ])('%s', (wanted, index) => expect(chooseHardware(names, wanted)).toMatchObject({ kind: 'found', index }));
  it('says when there are several, or none', () => {
    expect(chooseHardware(names, 'desk')).toMatchObject({ kind: 'several', matches: [names[0], names[2]] });
    expect(chooseHardware(names, '7')).toMatchObject({ kind: 'none' });
    expect(chooseHardware([], 'x')).toMatchObject({ kind: 'none' });
  });
  it('the whole name means its own port, although others begin with it', () => {
    for (const all of [
      ['Keys 24:0', 'Keys Two 28:0'],
      ['Keys Two 28:0', 'Keys 24:0'],
    ]) {
      expect(chooseHardware(all, 'Keys')).toMatchObject({ kind: 'found', name: 'Keys' });
    }
  });
  it('one that may come later keeps the name it was wanted by, several are refused all the same', () => {
    expect(hardwareMeant('interface:keys', names, 'keys', true)).toBe('Keys');
    expect(hardwareMeant('interface:later', names, 'later', true)).toBe('later');
    expect(() => hardwareMeant('interface:later', names, 'later', false)).toThrow(
      "interface:later: no port has that name or number; there are 'Desk Module",
    );
    expect(() => hardwareMeant('interface:desk', names, 'desk', true)).toThrow(
      "interface:desk: several ports have that in their name: 'Desk Module:Desk Module MIDI 1 20:0', 'Desk Box 28:0'",
    );
  });
});

describe('hardware port over a fake of the library', () => {
  const sentTo = (binding: FakeBinding, name: string) =>
    (binding.sent.get(name) ?? []).map((bytes) => hexOf(bytes));

  it('counts on nothing: the interface decides on running status', () => {
    expect(HARDWARE_WIRE).toMatchObject({ baud: 31_250, runningStatus: 'device' });
  });

  it('hands the library whole messages: SysEx that comes in pieces is put together', () => {
    const binding = new FakeBinding();
    const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' });
    for (const piece of ['F0 7E 7F', '09 01', 'F7', '90 3C 40', 'F8']) write(port, piece);
    expect(sentTo(binding, 'Fake Keys 24:0')).toEqual(['F0 7E 7F 09 01 F7', '90 3C 40', 'F8']);
    port.close();
    expect(binding.open).toBe(0);
  });

  it('real-time passes inside SysEx; any other status ends it', () => {
    const binding = new FakeBinding();
    const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' });
    for (const piece of ['F0 01', 'F8', '02', '90 3C 40']) write(port, piece);
    expect(sentTo(binding, 'Fake Keys 24:0')).toEqual(['F8', 'F0 01 02 F7', '90 3C 40']);
  });

  it('pulled out: the watcher sees it, the port is lost; back under other numbers, it is opened anew', async () => {
    const binding = new FakeBinding();
    const keeper = keepHardware(binding, 'Fake Keys');
    const port = new HardwarePort(
      'interface:Fake Keys',
      binding,
      { kind: 'named', name: 'Fake Keys' },
      keeper.link,
    );
    expect(write(port, '90 3C 40')).toBe(WRITE_DONE);
    binding.names = ['Fake Module 20:0'];
    keeper.look();
    expect(write(port, '90 3E 40')).toBe(WRITE_LOST);
    expect(port.revive()).toBe(false);
    binding.names = ['Fake Module 20:0', 'Fake Keys 32:0'];
    keeper.look();
    expect(port.revive()).toBe(true);
    expect(write(port, '80 3C 40')).toBe(WRITE_DONE);
    expect(sentTo(binding, 'Fake Keys 24:0')).toEqual(['90 3C 40']);
    expect(sentTo(binding, 'Fake Keys 32:0')).toEqual(['80 3C 40']);
    port.close();
    await keeper.close();
    expect(binding.open).toBe(0);
  });

  it('short messages of one length go out of one buffer: nothing is made for a message', () => {
    const binding = new FakeBinding();
    const port = new HardwarePort('interface:0', binding, { kind: 'named', name: 'Fake Module' });
    for (const message of ['90 3C 40', '80 3C 40', 'C0 05', 'D0 05', 'F8', 'FE']) write(port, message);
    expect(sentTo(binding, 'Fake Module 20:0')).toEqual([
      '90 3C 40',
      '80 3C 40',
      'C0 05',
      'D0 05',
      'F8',
      'FE',
    ]);
    expect(new Set(binding.handed).size).toBe(3);
    port.close();
  });

  it('a SysEx that another one cuts off, and that the library refuses, is a loss as well', () => {
    const binding = new FakeBinding();
    const port = new HardwarePort('interface:0', binding, { kind: 'named', name: 'Fake Module' });
    expect(write(port, 'F0 01')).toBe(WRITE_DONE);
    binding.failSend = true;
    expect(write(port, 'F0 02')).toBe(WRITE_LOST);
    port.close();
  });

  it('a write the library refuses is a loss, not an exception', () => {
    const binding = new FakeBinding();
    const port = new HardwarePort('interface:0', binding, { kind: 'named', name: 'Fake Module' });
    binding.failSend = true;
    expect(write(port, '90 3C 40')).toBe(WRITE_LOST);
    binding.failSend = false;
    expect(port.revive()).toBe(true);
    expect(write(port, '90 3C 40')).toBe(WRITE_DONE);
    port.close();
  });
});

describe('why there is no hardware port', () => {
  it('no sequencer: one reason and how to get it', () => {
    expect(hardwareTrouble('/nowhere/snd/seq', 'linux')).toMatchObject({
      reason: 'no ALSA sound system on this machine (/nowhere/snd is not there)',
    });
    const sequencer = join(tempFolder('snd'), 'seq');
    expect(hardwareTrouble(sequencer, 'linux')).toEqual({
      reason: `no ALSA sequencer (${sequencer} is not there)`,
      remedy: 'sudo modprobe snd-seq',
    });
    writeFileSync(sequencer, '');
    expect(hardwareTrouble(sequencer, 'linux')).toBeUndefined();
    expect(hardwareTrouble('/nowhere/seq', 'darwin')).toBeUndefined();
  });

  it.each([
    [
      'a machine with two ports',
      { status: 0, stdout: '{"outputs":["A"],"inputs":[]}', stderr: '' },
      undefined,
    ],
    [
      'the library’s own error, with the first line of the sound system',
      { status: 0, stdout: '{"error":"no client"}', stderr: 'x\nALSA lib seq.c: refused \nALSA lib more' },
      'the MIDI library could not be opened (no client; ALSA lib seq.c: refused)',
    ],
    [
      'a probe that fell',
      { status: 139, stdout: '', stderr: '' },
      'the MIDI library could not be opened (the probe ended early)',
    ],
    [
      'a probe that could not begin',
      { status: null, stdout: '', stderr: '', error: new Error('spawnSync ETIMEDOUT') },
      'the MIDI library could not be opened (spawnSync ETIMEDOUT)',
    ],
  ])('what the probe says: %s', (_, child, reason) => {
    const told = probeAnswer(child);
    expect(told).toMatchObject(reason === undefined ? { outputs: ['A'], inputs: [] } : { reason });
  });

  it.skipIf(hardwareTrouble() === undefined)(
    'without ALSA: the true failure of the library, its own lines caught',
    async () => {
      expect(probeHardware()).toEqual(hardwareTrouble()); // the library is not even asked
      const found = probeInChild();
      expect(found).toMatchObject({ reason: expect.stringContaining('Failed to initialise RtMidi') });
      await expect(openOutput('interface:0')).rejects.toThrow(/^interface:0: .*; to get it: /);
      await expect(openOutput('virtual:Desk')).rejects.toThrow(/^virtual:Desk: /);
      await expect(openOutput('virtual:')).rejects.toThrow(/^virtual:: the port needs a name/);
    },
  );

  it('the list tells UARTs that are there from placeholders, and prefers names that last', () => {
    const folder = tempFolder('machine');
    const file = (path: string, text = '') => {
      mkdirSync(join(folder, path, '..'), { recursive: true });
      writeFileSync(join(folder, path), text);
    };
    for (const name of ['ttyS0', 'ttyS1', 'ttyUSB0']) file(`sys/class/tty/${name}/device`);
    file('sys/class/tty/ttyS0/type', '4\n');
    file('sys/class/tty/ttyS1/type', '0\n');
    file('sys/class/tty/tty1/dev'); // a virtual console: no device behind it
    file('dev/ttyS0');
    file('dev/ttyUSB0');
    file('dev/snd/midiC1D0');
    mkdirSync(join(folder, 'dev/serial/by-id'), { recursive: true });
    symlinkSync('../../ttyUSB0', join(folder, 'dev/serial/by-id/usb-adapter-if00'));
    const probe = () => ({ outputs: ['Keys 24:0'], inputs: ['Keys 24:0', 'Pads 28:0'] });
    const { ports, troubles } = listPorts({ root: folder, probe });
    expect(troubles).toEqual([]);
    expect(ports.filter(({ name }) => name.startsWith('serial:')).map(({ note }) => note)).toEqual([
      'UART',
      'USB, now ttyUSB0',
    ]);
    const bare = listPorts({ root: join(folder, 'nowhere'), probe: () => ({ outputs: [], inputs: [] }) });
    expect(bare.troubles.map(({ name, reason }) => `${name} ${reason}`)).toEqual([
      'interface: the sequencer runs, but no device is connected',
      'serial: no serial device on this machine',
    ]);
    const silent = listPorts({ root: folder, probe: () => ({ reason: 'no sequencer', remedy: 'load it' }) });
    expect(silent.troubles).toEqual([
      { name: 'interface: and virtual:', reason: 'no sequencer', remedy: 'load it' },
    ]);
    expect(silent.ports.some(({ name }) => /^(interface|virtual)/.test(name))).toBe(false);
    expect(ports.map(({ name, direction }) => `${direction} ${name}`)).toEqual([
      'out interface:0',
      'in interface:0',
      'in interface:1',
      'both virtual:<name>',
      'both serial:/dev/ttyS0',
      'both serial:/dev/serial/by-id/usb-adapter-if00',
      'both raw:/dev/snd/midiC1D0',
      'both raw:<device or FIFO>',
      'out rtp:<host>:<port>',
      'in rtp:<port>',
      'both file:<path>',
      'in stdin',
      'out mock',
    ]);
  });
});
