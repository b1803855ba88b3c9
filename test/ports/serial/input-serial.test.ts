import { closeSync, constants, fstatSync, openSync, writeSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DeviceLink } from '../../../src/ports/device-link.ts';
import type { InputPort } from '../../../src/ports/input-port.ts';
import { openSerialInput } from '../../../src/ports/serial/input-serial.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { hasSocat, PtyPair, until } from '../../support/pty-pair.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';
import { HeardSink, HOW } from '../input-contract.ts';

/** Long enough for an input to look for its device once more; nothing is to happen meanwhile. */
const anotherLook = () => new Promise((resolve) => setTimeout(resolve, 150));

describe.skipIf(!hasSocat)('a serial input whose device another thread keeps', () => {
  let pair: PtyPair;
  let link: DeviceLink;
  let far: number;
  let input: InputPort | undefined;
  beforeEach(async () => {
    pair = await PtyPair.plugged();
    far = openSync(pair.far, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
    link = new DeviceLink();
  });
  afterEach(async () => {
    await input?.close();
    closeSync(far);
    await pair.remove();
  });

  test('is opened once an opening, as the keeper says, and what was given up says nothing of the next', async () => {
    input = await openSerialInput(pair.near, { ...HOW, link: link.buffer });
    const sink = new HeardSink();
    const held = heldFromNow();
    input.start(sink);
    // Its keeper has not got it yet.
    expect(sink.events).toEqual(['lost']);
    link.opened();
    await until(() => sink.events.length > 1, 'the first opening');
    await anotherLook();
    expect(sink.events).toEqual(['lost', 'back']);
    expect(held.now().filter((one) => one.startsWith('descriptor'))).toHaveLength(1);
    // Closed and opened by its keeper between two looks: the descriptor of before is of no use.
    link.lost();
    link.opened();
    await until(() => sink.events.length > 2, 'the second opening');
    await anotherLook();
    expect(sink.events).toEqual(['lost', 'back', 'lost', 'back']);
    expect(link.reportedGone).toBe(false);
    expect(held.now().filter((one) => one.startsWith('descriptor'))).toHaveLength(1);
    writeSync(far, bytesOf('90 3C 40'));
    expect(hexOf(await sink.has(3))).toBe('90 3C 40');
    link.lost();
    await until(() => sink.events.length > 4, 'the loss');
    expect(sink.events.at(-1)).toBe('lost');
    await input.close();
    await held.givenBack();
  });

  test('hears its keeper say that it is there, but finds nothing: that is told, and closes nobody else’s descriptor', async () => {
    input = await openSerialInput(`${pair.near}-not`, { ...HOW, link: link.buffer });
    link.opened();
    const sink = new HeardSink();
    input.start(sink);
    expect([sink.events, link.reportedGone]).toEqual([['lost'], true]);
    for (const standard of [0, 1, 2]) expect(() => fstatSync(standard)).not.toThrow();
  });

  test('a device that goes is told as lost before its keeper knows, and its keeper is told', async () => {
    input = await openSerialInput(pair.near, { ...HOW, link: link.buffer });
    link.opened();
    const sink = new HeardSink();
    input.start(sink);
    await pair.unplug();
    await until(() => sink.events.length > 1, 'the loss');
    expect([sink.events, link.reportedGone]).toEqual([['back', 'lost'], true]);
    // It is nobody's any more to open: not until its keeper has it again.
    link.lost();
    await anotherLook();
    expect(sink.events).toEqual(['back', 'lost']);
  });

  test('exact: behind a rest it looks without sleeping for what follows, two bytes of the wire each time, 4 ms in all', async () => {
    // A clock that goes on only as bytes come: none of them is late, whatever else the machine does.
    let micros = 1_000_000;
    const clock = { nowMicros: () => micros };
    input = await openSerialInput(pair.near, { ...HOW, clock, link: link.buffer, exact: true });
    link.opened();
    const sink = new HeardSink();
    input.start(sink);
    /** Sends one byte for each wait, when the one before has come; how many of them each turn of the event loop saw. */
    const heard = (waits: readonly number[]) =>
      new Promise<number[]>((resolve) => {
        const perTurn = [0];
        let step = 0;
        sink.bytes = (chunk) => {
          perTurn[perTurn.length - 1]! += chunk.length;
          queueMicrotask(() => perTurn.push(0));
          micros += waits[step]!;
          step += 1;
          if (step < waits.length) writeSync(far, Uint8Array.of(0xf8));
          else setImmediate(() => resolve(perTurn.filter((count) => count > 0)));
        };
        writeSync(far, Uint8Array.of(0xf8));
      });
    // The eighth behind the first comes at 3999 µs; at 4000 it sleeps again, and sleeps on while there is no rest.
    expect(await heard([320, 639, 639, 639, 639, 639, 639, 165, 1, 320, 320])).toEqual([9, 1, 1]);
    micros += 4000;
    expect(await heard([0, 320])).toEqual([1, 1]);
    micros += 4001;
    expect(await heard([0, 639, 640, 320])).toEqual([3, 1]);
  });
});
