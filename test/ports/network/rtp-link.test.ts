import { hrtime } from 'node:process';
import { describe, expect, test } from 'vitest';
import { RtpLink } from '../../../src/ports/network/rtp-link.ts';
import { rtpNameOf, rtpTargetOf } from '../../../src/ports/network/rtp-name.ts';
import { RtpPort } from '../../../src/ports/network/rtp-port.ts';
import { WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

const NOTE = bytesOf('90 3C 40');
const microsNow = () => Number(hrtime.bigint()) / 1000;

function rig() {
  const link = new RtpLink();
  const far = new RtpLink(link.buffer);
  const port = new RtpPort('rtp:far', link);
  const drained = () => {
    const all: [hex: string, micros: number][] = [];
    far.ring.drain((_port, bytes, micros) => all.push([hexOf(bytes), micros]));
    return all;
  };
  return {
    link,
    far,
    port,
    drained,
    write: (micros: number) => port.write(NOTE, 0, 3, Float64Array.of(micros)),
  };
}

describe('the way to the thread that has the socket', () => {
  test('a message has the moment it is meant for, by the clock that both share', () => {
    const { far, drained, write } = rig();
    far.isPresent = true;
    const before = microsNow();
    for (const micros of [1000, 1e9, 2e9]) expect(write(micros)).toBe(WRITE_DONE);
    const [first, second, third] = drained();
    expect([first![0], second![0], third![0]]).toEqual(['90 3C 40', '90 3C 40', '90 3C 40']);
    expect(first![1]).toBeGreaterThanOrEqual(before);
    expect(first![1]).toBeLessThanOrEqual(microsNow());
    // The wire is behind the hand over: its own distances count.
    expect(second![1] - first![1]).toBeCloseTo(1e9 - 1000, 0);
    expect(third![1] - second![1]).toBeCloseTo(1e9, 0);
  });

  test('is taken only while the far end is there and has room', () => {
    const { far, port, write } = rig();
    expect([write(0), port.flush(), port.revive(), port.gone()]).toEqual([WRITE_LOST, true, false, true]);
    far.isPresent = true;
    expect([port.flush(), port.revive(), port.gone()]).toEqual([true, true, false]);
    let taken = 0;
    while (write(0) === WRITE_DONE) taken += 1;
    expect(write(0)).toBe(WRITE_FULL);
    // 1 MiB of entries of 32 bytes each (`TapRing`); room for two is asked, since one may be skipped at the end.
    expect(taken).toBe(2 ** 20 / 32 - 1);
    far.isPresent = false;
    expect([write(0), port.flush(), port.revive(), port.gone()]).toEqual([WRITE_LOST, true, false, true]);
    far.isPresent = true;
    port.close();
    expect([write(0), port.flush(), port.revive(), port.gone()]).toEqual([WRITE_LOST, true, false, false]);
  });

  test('is settled once the far end says that it has sent all of it', () => {
    const { far, port, drained, write } = rig();
    far.isPresent = true;
    write(0);
    expect(port.flush()).toBe(false);
    const written = far.ring.written;
    drained();
    write(1);
    far.settle(written);
    expect(port.flush()).toBe(false);
    far.settle(far.ring.written);
    expect(port.flush()).toBe(true);
  });

  test('wakes whoever waits for more; one who has not seen all does not wait', async () => {
    const { far, write } = rig();
    far.isPresent = true;
    const seen = far.ring.written;
    let isWoken = false;
    const waiting = far.changed(seen).then(() => {
      isWoken = true;
    });
    await new Promise((resolve) => setImmediate(resolve));
    expect(isWoken).toBe(false);
    write(0);
    await waiting;
    await far.changed(seen);
  });
});

describe('names', () => {
  test.each([
    ['5004', undefined, 5004, 5],
    ['board:1', 'board', 1, 5],
    ['192.0.2.7:65535@0', '192.0.2.7', 65_535, 0],
    ['[2001:db8::1]:5004@1000', '2001:db8::1', 5004, 1000],
    ['board:5004@20', 'board', 5004, 20],
  ])('%s', (text, host, port, playoutMs) => {
    expect(rtpNameOf(text)).toEqual({ host, port, playoutMicros: playoutMs * 1000 });
  });
  test.each(['', '0', '65536', 'board:0', 'board', ':5004', 'board:5004@', '5004@1001', '1:2:3'])(
    '%j is refused',
    (text) => expect(() => rtpNameOf(text)).toThrow(`rtp:${text}: `),
  );
  test('a target has a host, and no time', () => {
    expect(rtpTargetOf('board:5004')).toEqual({ host: 'board', port: 5004 });
    expect(() => rtpTargetOf('5004')).toThrow('write rtp:<host>:5004');
    expect(() => rtpTargetOf('board:5004@5')).toThrow('the time after @ is for listening');
  });
});
