import { Socket } from 'node:dgram';
import { hrtime } from 'node:process';
import { afterEach, expect, test, vi } from 'vitest';
import { RtpLink } from '../../../src/ports/network/rtp-link.ts';
import { RtpTransmitter } from '../../../src/ports/network/rtp-transmitter.ts';
import { FarBoard, freePort, hasIpv6 } from '../../support/far-board.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { until } from '../../support/pty-pair.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

const microsNow = () => Number(hrtime.bigint()) / 1000;
const cleanups: (() => unknown)[] = [];
afterEach(async () => {
  for (const cleanup of cleanups.splice(0).reverse()) await cleanup();
});

/** The half that has the socket, in this thread, and a far end that hears it. */
async function rig() {
  const board = await FarBoard.listening();
  cleanups.push(() => board.close());
  const link = new RtpLink();
  const transmitter = new RtpTransmitter(link, '127.0.0.1', board.port);
  cleanups.push(() => transmitter.close());
  const put = (hex: string | Uint8Array, inMicros = 0): void => {
    const bytes = typeof hex === 'string' ? bytesOf(hex) : hex;
    link.ring.put(0, bytes, 0, bytes.length, Float64Array.of(microsNow() + inMicros));
    link.wake();
  };
  return { board, link, transmitter, put };
}

test('what is due later is sent later', async () => {
  const { board, transmitter, put } = await rig();
  expect(await transmitter.open(false)).toBeUndefined();
  const began = performance.now();
  put('90 3C 40', 60_000);
  put('90 40 40', 60_500);
  put('80 3C 40', 90_000);
  await board.received(6);
  expect(performance.now() - began).toBeGreaterThanOrEqual(59);
  expect(await board.received(9)).toEqual(bytesOf('90 3C 40 90 40 40 80 3C 40'));
  expect(performance.now() - began).toBeGreaterThanOrEqual(89);
});

test('while nothing comes all is told again, ever more rarely, and the writer learns when it is settled', async () => {
  const { board, link, transmitter, put } = await rig();
  await transmitter.open(false);
  put('90 3C 40');
  expect(link.isSettled).toBe(false);
  await board.received(3);
  await until(() => link.isSettled, 'that it is settled');
  // One with the note, three more at least; and not oftener than 10, 20, 40, 80 and then 100 ms apart.
  await until(() => board.packets.length >= 4, 'four packets');
  const before = board.packets.length;
  const began = performance.now();
  await until(() => board.packets.length >= before + 3, 'that it goes on');
  expect(performance.now() - began).toBeGreaterThan(75);
  expect(hexOf(board.heard)).toBe('90 3C 40');
});

test('is settled once the packet with the last message was followed by three more', async () => {
  const { link, transmitter, put } = await rig();
  await transmitter.open(false);
  await until(() => link.isSettled, 'that nothing is under way');
  const settledAtPacket: boolean[] = [];
  const send = Socket.prototype.send as (...args: unknown[]) => void;
  const spy = vi.spyOn(Socket.prototype, 'send').mockImplementation(function (
    this: Socket,
    ...args: unknown[]
  ) {
    settledAtPacket.push(link.isSettled);
    send.apply(this, args);
  });
  cleanups.push(() => spy.mockRestore());
  put('90 3C 40');
  await until(() => link.isSettled, 'that it is settled');
  expect(settledAtPacket.slice(0, 4)).toEqual([false, false, false, false]);
});

test('a sender that was never given anything is known to live', async () => {
  const { board, link, transmitter } = await rig();
  await transmitter.open(false);
  const before = board.packets.length;
  await until(() => board.packets.length >= before + 3, 'packets of nothing');
  expect([board.heard.length, link.isSettled]).toEqual([0, true]);
});

test('a SysEx longer than a packet arrives whole', async () => {
  const { board, transmitter, put } = await rig();
  await transmitter.open(false);
  const long = Uint8Array.from({ length: 5000 }, (_, at) =>
    at === 0 ? 0xf0 : at === 4999 ? 0xf7 : at & 0x7f,
  );
  put(long);
  expect(await board.received(5000)).toEqual(long);
});

test('closed it sends what was meant for later, tells it three times more, and keeps nothing', async () => {
  const held = heldFromNow();
  const { board, link, transmitter, put } = await rig();
  await transmitter.open(false);
  expect(link.isPresent).toBe(true);
  put('90 3C 40', 5_000_000);
  const before = board.packets.length;
  const began = performance.now();
  await transmitter.close();
  expect(performance.now() - began).toBeGreaterThanOrEqual(29); // at once, after 10 ms and after 20 more
  expect(link.isPresent).toBe(false);
  await until(() => board.packets.length >= before + 4, 'the last packets');
  cleanups.length = 0;
  board.close();
  await held.givenBack();
  await transmitter.close(); // once more does no harm
});

test('where nobody listens it says so; asked to wait, it comes when somebody does', async () => {
  const port = await freePort();
  const link = new RtpLink();
  const refused = new RtpTransmitter(link, '127.0.0.1', port);
  expect(await refused.open(false)).toBe('ECONNREFUSED');
  await refused.close();
  const waiting = new RtpTransmitter(link, '127.0.0.1', port);
  cleanups.push(() => waiting.close());
  expect(await waiting.open(true)).toBeUndefined();
  expect(link.isPresent).toBe(false);
  // What is written meanwhile is not told later.
  link.ring.put(0, bytesOf('90 3C 40'), 0, 3, Float64Array.of(microsNow()));
  link.wake();
  const board = await FarBoard.listening(undefined, port);
  cleanups.push(() => board.close());
  await until(() => link.isPresent, 'the far end');
  link.ring.put(0, bytesOf('80 3C 40'), 0, 3, Float64Array.of(microsNow()));
  link.wake();
  expect(hexOf(await board.received(3))).toBe('80 3C 40');
});

test('an address of all hosts is none to send to, and it says why', async () => {
  const link = new RtpLink();
  const toAll = new RtpTransmitter(link, '255.255.255.255', 5004);
  // The second where this machine has no network at all.
  expect(await toAll.open(false)).toMatch(/^(EACCES|ENETUNREACH)$/);
  await toAll.close();
});

test.skipIf(!hasIpv6)('a far end of the other kind of address is asked as well', async () => {
  const far = new RtpTransmitter(new RtpLink(), '::1', await freePort());
  expect(await far.open(false)).toBe('ECONNREFUSED');
  await far.close();
});

test('closed while it waits it tries no more', async () => {
  const held = heldFromNow();
  const link = new RtpLink();
  const waiting = new RtpTransmitter(link, '127.0.0.1', await freePort());
  await waiting.open(true);
  await waiting.close();
  await held.givenBack();
  expect(link.isPresent).toBe(false);
});
