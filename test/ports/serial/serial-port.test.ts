import { afterEach, describe, expect, it } from 'vitest';
import { DeviceLink } from '../../../src/ports/device-link.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { serialNameOf } from '../../../src/ports/serial/serial-name.ts';
import { openSerialPort } from '../../../src/ports/serial/serial-port.ts';
import { type FarEnd, farEnd } from '../../support/far-end.ts';
import { hasSocat, PtyPair, until } from '../../support/pty-pair.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

const AT = new Float64Array(2);
const write = (port: OutputPort, hex: string) => port.write(bytesOf(hex), 0, bytesOf(hex).length, AT);

describe('the name of a serial port', () => {
  it('31,250 baud unless it says otherwise, and the wire follows', () => {
    expect(serialNameOf('/dev/ttyS0')).toMatchObject({
      path: '/dev/ttyS0',
      wire: { baud: 31_250, runningStatus: 'ours' },
    });
    expect(serialNameOf('/dev/ttyUSB0@38400')).toMatchObject({
      path: '/dev/ttyUSB0',
      wire: { baud: 38_400 },
    });
  });
  it.each(['', '@31250', '/dev/ttyS0@12', '/dev/ttyS0@99999999'])('%j is refused', (text) => {
    expect(() => serialNameOf(text)).toThrow(/serial:/);
  });
});

describe('what cannot be a serial port is refused', () => {
  it('no such device', async () => {
    await expect(openOutput('serial:/dev/no-such-uart')).rejects.toThrow(
      'serial:/dev/no-such-uart: there is no such device; `wirepit ports` lists what is here',
    );
  });
  it('something that is no terminal', async () => {
    await expect(openOutput('serial:/dev/null')).rejects.toThrow(
      /serial:\/dev\/null: .*; check that it is a serial port/,
    );
  });
});

it('a device that its keeper has open and that cannot be opened here is told of as gone', () => {
  const link = new DeviceLink();
  link.opened();
  const port = openSerialPort('/nowhere/tty', link);
  expect(write(port, '90 3C 40')).toBe(WRITE_LOST);
  expect(link.reportedGone).toBe(true);
});

describe.skipIf(!hasSocat)('a serial port on a pty pair', () => {
  let pair: PtyPair;
  let port: OutputPort;
  let far: FarEnd;
  afterEach(async () => {
    port.close();
    far.close();
    await pair.remove();
  });

  it('unplugged in mid-chord: lost, then found again, and the far end gets whole messages only', async () => {
    pair = await PtyPair.plugged();
    far = farEnd(pair.far);
    port = await openOutput(`serial:${pair.near}`);
    expect(write(port, '90 3C 40')).toBe(WRITE_DONE);
    expect(write(port, '40 40')).toBe(WRITE_DONE);
    expect(hexOf(await far.received(5))).toBe('90 3C 40 40 40');

    await pair.unplug();
    await until(() => write(port, '43 40') === WRITE_LOST, 'the loss to be seen');
    expect(port.revive?.()).toBe(false);

    await pair.plug();
    far.close();
    far = farEnd(pair.far);
    await until(() => port.revive?.() === true, 'the device to be found again');
    expect(write(port, '80 3C 40')).toBe(WRITE_DONE);
    expect(hexOf(await far.received(3))).toBe('80 3C 40');
  });

  it('unplugged while nothing is written: known without a write', async () => {
    pair = await PtyPair.plugged();
    port = await openOutput(`serial:${pair.near}`);
    far = farEnd(pair.far);
    expect(port.gone?.()).toBe(false);
    await pair.unplug();
    await until(() => port.gone?.() === true, 'the loss to be seen');
  });

  it('absent at the start when waiting was asked for', async () => {
    pair = new PtyPair();
    port = await openOutput(`serial:${pair.near}`, { waitForDevice: true });
    expect(write(port, '90 3C 40')).toBe(WRITE_LOST);
    await pair.plug();
    far = farEnd(pair.far);
    await until(() => port.revive?.() === true, 'the device to be found');
    expect(write(port, 'FE')).toBe(WRITE_DONE);
    expect(hexOf(await far.received(1))).toBe('FE');
  });

  it('a second opening is refused: the first has the device', async () => {
    pair = await PtyPair.plugged();
    far = farEnd(pair.far);
    port = await openOutput(`serial:${pair.near}`);
    await expect(openOutput(`serial:${pair.near}`)).rejects.toThrow(/another program has it open/);
  });
});
