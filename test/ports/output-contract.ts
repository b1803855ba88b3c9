import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type OutputPort, WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../src/ports/output-port.ts';
import { heldFromNow } from '../support/held-by-process.ts';
import { bytesOf, readStream } from '../support/stream-log.ts';

/** One open port and the far end of it. */
export interface PortFixture {
  readonly port: OutputPort;
  /** Every byte that has come out at the far end, once `count` of them are there. */
  received(count: number): Promise<Uint8Array>;
  cleanup(): Promise<void> | void;
}

const AT = new Float64Array(2);

/** What every output promises (`OutputPort`), held against one kind of port. */
export function outputContract(kind: string, open: () => Promise<PortFixture>, skip = false): void {
  describe.skipIf(skip)(`${kind} keeps the output contract`, () => {
    let fixture: PortFixture;
    let isClean = false;
    const clean = async (): Promise<void> => {
      if (!isClean) await fixture.cleanup();
      isClean = true;
    };
    beforeEach(() => {
      isClean = false;
    });
    afterEach(clean);

    it('has a name one can type and the traits of a real wire', async () => {
      fixture = await open();
      expect(fixture.port.name).toMatch(/^[a-z]+(:.+)?$/);
      expect(fixture.port.wire.baud).toBeGreaterThan(0);
      expect(fixture.port.wire.bitsPerByte).toBe(10);
    });

    it('passes every kind of message on whole and in order', async () => {
      fixture = await open();
      const messages = [
        'B0 79 00',
        'C0 05',
        '90 3C 40',
        'F8',
        'E0 00 40',
        'F0 7E 7F 09 01 F7',
        'F2 0A 00',
        '80 3C 40',
        'FE',
      ];
      for (const message of messages) expect(send(fixture.port, bytesOf(message))).toBe(WRITE_DONE);
      await settle(fixture.port);
      const bytes = await fixture.received(bytesOf(messages.join(' ')).length);
      expect(readStream([bytes])).toMatchObject({ messages, faults: [] });
    });

    it('takes a long SysEx in pieces', async () => {
      fixture = await open();
      const sysEx = Uint8Array.from({ length: 500 }, (_, i) => (i === 0 ? 0xf0 : i === 499 ? 0xf7 : i % 128));
      for (let from = 0; from < 500; from += 32) send(fixture.port, sysEx.subarray(from, from + 32));
      await settle(fixture.port);
      expect(await fixture.received(500)).toEqual(sysEx);
    });

    it('reads only the stretch it is shown, and keeps its own copy', async () => {
      fixture = await open();
      const scratch = bytesOf('FF FF 90 3C 40 FF FF');
      expect(fixture.port.write(scratch, 2, 3, AT)).toBe(WRITE_DONE);
      scratch.fill(0);
      await settle(fixture.port);
      expect(await fixture.received(3)).toEqual(bytesOf('90 3C 40'));
    });

    it('closes twice without a word, and takes nothing afterwards that it could lose', async () => {
      fixture = await open();
      send(fixture.port, bytesOf('90 3C 00'));
      fixture.port.close();
      fixture.port.close();
      expect([WRITE_DONE, WRITE_FULL, WRITE_LOST]).toContain(
        fixture.port.write(bytesOf('90 3C 40'), 0, 3, AT),
      );
      fixture.port.flush();
      expect(fixture.port.revive?.() ?? false).toBe(false);
    });

    it('gives back every descriptor and timer', async () => {
      // The first opening loads a library, which keeps what it wants.
      await (await open()).cleanup();
      const held = heldFromNow();
      fixture = await open();
      send(fixture.port, bytesOf('90 3C 00'));
      await clean();
      await held.givenBack();
    });
  });
}

function send(port: OutputPort, bytes: Uint8Array) {
  return port.write(bytes, 0, bytes.length, AT);
}

/** Gives a slow driver the time it needs. */
async function settle(port: OutputPort): Promise<void> {
  for (let tries = 0; !port.flush(); tries += 1) {
    if (tries > 1000) throw new Error('the port never got rid of its bytes');
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}
