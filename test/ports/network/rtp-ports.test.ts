import { afterEach, describe, expect, it } from 'vitest';
import { keepOutput } from '../../../src/ports/keep-output.ts';
import { RTP_KIND } from '../../../src/ports/network/rtp-kind.ts';
import { openInput } from '../../../src/ports/open-input.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { FarBoard, freePort, hasIpv6, NearBoard } from '../../support/far-board.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { until } from '../../support/pty-pair.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { HeardSink, HOW } from '../input-contract.ts';

const AT = new Float64Array(2);
const cleanups: (() => void | Promise<void>)[] = [];
afterEach(async () => {
  for (const cleanup of cleanups.splice(0).reverse()) await cleanup();
});

async function farBoard(passes?: (packet: number) => boolean): Promise<FarBoard> {
  const far = await FarBoard.listening(passes);
  cleanups.push(() => far.close());
  return far;
}

async function listening(playoutMs: number) {
  const port = await freePort();
  const input = await openInput(`rtp:${port}@${playoutMs}`, HOW);
  const sink = new HeardSink();
  input.start(sink);
  cleanups.push(() => input.close());
  return { port, sink, input };
}

function nearBoard(port: number, source?: number): NearBoard {
  const near = new NearBoard(port, source);
  cleanups.push(() => near.close());
  return near;
}

describe('an RTP output', () => {
  it.each([
    [
      'nobody listens there',
      async () => `rtp:127.0.0.1:${await freePort()}`,
      /nobody listens there; start `wirepit/,
    ],
    [
      'no such host',
      async () => 'rtp:no-such-host.invalid:5004',
      /no host no-such-host.invalid is known; write its/,
    ],
    ['no host', async () => 'rtp:5004', /no host is named; write rtp:<host>:5004/],
    ['no port', async () => 'rtp:board', /this names no port of a network; write rtp:192/],
    ['a port too many', async () => 'rtp:board:65536', /this names no port of a network/],
    ['a time', async () => 'rtp:127.0.0.1:5004@20', /the time after @ is for listening; leave it out/],
  ])('is refused in one line: %s', async (_, spec, reason) => {
    await expect(openOutput(await spec())).rejects.toThrow(reason);
  });

  it('that is only asked for its wire is refused as well', () => {
    expect(() => RTP_KIND.output!.wire!('board')).toThrow(/this names no port of a network/);
  });

  it('loses a note-off and twice what tells of it again, and ends the note all the same', async () => {
    let toLose = 0;
    const far = await farBoard((index) => {
      const isGuard = far.packets[index]![1]! < 0x80;
      if (toLose === 0 || (toLose === 3 && isGuard)) return true;
      toLose -= 1;
      return false;
    });
    const port = await openOutput(`rtp:127.0.0.1:${far.port}`);
    cleanups.push(() => port.close());
    port.write(bytesOf('90 3C 40'), 0, 3, AT);
    await far.received(3);
    toLose = 3;
    port.write(bytesOf('80 3C 40'), 0, 3, AT);
    await far.received(6);
    expect(far.receiver.counts.lost).toBe(3);
    const reader = new WireReader();
    reader.read(await far.received(6));
    expect(reader.sounding).toBe(0);
  });

  it('has said everything three times more before it calls itself done', async () => {
    const far = await farBoard();
    const port = await openOutput(`rtp:127.0.0.1:${far.port}`);
    cleanups.push(() => port.close());
    await far.received(0);
    const before = far.packets.length;
    port.write(bytesOf('90 3C 40'), 0, 3, AT);
    expect(port.flush()).toBe(false);
    await until(() => port.flush(), 'done');
    await until(() => far.packets.length >= before + 4, 'four packets');
  });

  it('is lost where the far end goes, and there again with it', async () => {
    const far = await FarBoard.listening();
    const kept = await keepOutput(`rtp:127.0.0.1:${far.port}`, false);
    const port = await openOutput(kept.spec, { link: kept.link });
    cleanups.push(() => kept.close());
    expect(port.write(bytesOf('90 3C 40'), 0, 3, AT)).toBe(WRITE_DONE);
    far.close();
    await until(() => port.gone?.() === true, 'the loss');
    expect(port.write(bytesOf('80 3C 40'), 0, 3, AT)).toBe(WRITE_LOST);
    expect(port.flush()).toBe(true);
    const again = await FarBoard.listening(undefined, far.port);
    cleanups.push(() => again.close());
    await until(() => port.revive?.() === true, 'the return');
    expect(port.write(bytesOf('B0 7B 00'), 0, 3, AT)).toBe(WRITE_DONE);
    // The journal may have struck the note before.
    await until(() => again.heard.subarray(-3).join() === bytesOf('B0 7B 00').join(), 'what came afterwards');
  });

  it('closing says it all three times more, and the port is gone then', async () => {
    const far = await farBoard();
    const kept = await keepOutput(`rtp:127.0.0.1:${far.port}`, false);
    const port = await openOutput(kept.spec, { link: kept.link });
    port.write(bytesOf('90 3C 40'), 0, 3, AT);
    await far.received(3);
    port.write(bytesOf('80 3C 40'), 0, 3, AT);
    const before = far.packets.length;
    await kept.close();
    expect(port.gone?.()).toBe(true);
    await until(() => far.packets.length >= before + 4, 'the last packets');
    expect(await far.received(6)).toEqual(bytesOf('90 3C 40 80 3C 40'));
  });

  it('may begin before the far end does, when asked to wait', async () => {
    const kept = await keepOutput(`rtp:127.0.0.1:${await freePort()}`, true);
    cleanups.push(() => kept.close());
    const port = await openOutput(kept.spec, { link: kept.link });
    expect(port.gone?.()).toBe(true);
    expect(port.revive?.()).toBe(false);
  });
});

describe('an RTP input', () => {
  it('refuses a port that is taken, an address that is not ours, and too long a time, in one line each', async () => {
    const { port } = await listening(0);
    const held = heldFromNow();
    await expect(openInput(`rtp:${port}`, HOW)).rejects.toThrow(
      /another program listens at this port; close that/,
    );
    await expect(openInput(`rtp:192.0.2.1:${port}`, HOW)).rejects.toThrow(/this machine has no such address/);
    await expect(openInput(`rtp:${port}@1001`, HOW)).rejects.toThrow(/1001 ms is too long; use 0 to 1000 ms/);
    await held.givenBack();
  });

  it('mends what was lost, passes over what is no MIDI, and hears one sender at a time', async () => {
    const { port, sink, input } = await listening(0);
    const near = nearBoard(port);
    const other = nearBoard(port, 78);
    const remarks: string[] = [];
    Object.assign(sink, { remark: (text: string) => remarks.push(text) });
    await near.send(bytesOf('90 3C 40'));
    await sink.has(3);
    await near.sendDatagram(bytesOf('01 02 03'));
    await near.sendDatagram(new Uint8Array(0));
    await other.send(bytesOf('91 3C 40'));
    near.lose(bytesOf('80 3C 40'));
    await near.send(bytesOf('F8'));
    expect(await sink.has(7)).toEqual(bytesOf('90 3C 40 80 3C 40 F8'));
    expect(remarks).toEqual([expect.stringMatching(/^127\.0\.0\.1:\d+ sends as well and is not heard$/)]);
    await input.close();
    expect(remarks.slice(1)).toEqual([
      '1 of 3 packets lost, 1 of them recovered; 0 came too late',
      '2 datagrams were no MIDI',
    ]);
  });

  it('tells of one datagram that was no MIDI, and sleeps while nobody is heard', async () => {
    const { port, sink, input } = await listening(0);
    const remarks: string[] = [];
    Object.assign(sink, { remark: (text: string) => remarks.push(text) });
    const held = heldFromNow();
    const near = nearBoard(port);
    await near.sendDatagram(bytesOf('01 02 03'));
    await until(() => input.packets!.unreadable === 1, 'the datagram');
    expect(held.now().filter((one) => /^timer of (1|Infinity) ms/.test(one))).toEqual([]);
    await input.close();
    expect(remarks).toEqual(['1 datagrams were no MIDI']);
  });

  it('waits with one timer, however many packets come', async () => {
    const { port, sink } = await listening(0);
    const held = heldFromNow();
    const near = nearBoard(port);
    for (let packet = 1; packet <= 20; packet += 1) {
      await near.send(bytesOf('90 3C 40'));
      await sink.has(3 * packet);
    }
    // The others are the test's own looks.
    expect(held.now().filter((one) => /^timer of (9\d\d|1000)/.test(one)).length).toBeLessThanOrEqual(1);
  });

  it.skipIf(!hasIpv6)('listens at an address of the other kind', async () => {
    const input = await openInput(`rtp:[::1]:${await freePort()}`, HOW);
    await input.close();
  });

  it('ends what sounds once its sender is gone for a second, and says so', async () => {
    const { port, sink } = await listening(5);
    const near = nearBoard(port);
    const other = nearBoard(port, 78);
    const remarks: string[] = [];
    Object.assign(sink, { remark: (text: string) => remarks.push(text) });
    await near.send(bytesOf('90 3C 40'), bytesOf('B0 40 7F'));
    await sink.has(6);
    await other.send(bytesOf('91 3C 40'));
    await other.send(bytesOf('91 3C 40'));
    expect(await sink.has(12)).toEqual(bytesOf('90 3C 40 B0 40 7F 80 3C 40 B0 40 00'));
    await until(() => sink.events.length > 1, 'the loss');
    expect(sink.events).toEqual(['back', 'lost']);
    await near.send();
    await until(() => sink.events.length > 2, 'the return');
    expect(sink.events).toEqual(['back', 'lost', 'back']);
    // Said once for each sender that is heard.
    await until(() => remarks.length === 1, 'the remark');
    await other.send(bytesOf('91 3C 40'));
    await until(() => remarks.length === 2, 'the remark on the new one');
  });
});
