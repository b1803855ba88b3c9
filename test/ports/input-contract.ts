import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { HowToListen, InputPort, InputSink } from '../../src/ports/input-port.ts';
import { heldFromNow } from '../support/held-by-process.ts';
import { until } from '../support/pty-pair.ts';
import { bytesOf, readStream } from '../support/stream-log.ts';

/** One input, not yet started, and a way to send to it. */
export interface InputFixture {
  readonly input: InputPort;
  send(bytes: Uint8Array): void | Promise<void>;
  cleanup(): void | Promise<void>;
}

export const realClock = { nowMicros: () => performance.now() * 1000 };
export const HOW: HowToListen = { clock: realClock, waitForDevice: false, pace: 'at-once' };

/** Writes down all that an input tells. */
export class HeardSink implements InputSink {
  readonly chunks: Uint8Array[] = [];
  readonly times: number[] = [];
  readonly events: string[] = [];
  bytes(chunk: Uint8Array, arrivedMicros: number): void {
    this.chunks.push(Uint8Array.from(chunk));
    this.times.push(arrivedMicros);
  }
  stoodStill(fromMicros: number, toMicros: number): void {
    this.events.push(`${this.chunks.length} chunks, then still from ${fromMicros} to ${toMicros}`);
  }
  lost(): void {
    this.events.push('lost');
  }
  back(): void {
    this.events.push('back');
  }
  ended(trouble?: string): void {
    this.events.push(trouble === undefined ? 'ended' : `ended: ${trouble}`);
  }
  get count(): number {
    return this.chunks.reduce((sum, chunk) => sum + chunk.length, 0);
  }
  async has(count: number): Promise<Uint8Array> {
    await until(() => this.count >= count, `${count} bytes`);
    return Uint8Array.from(this.chunks.flatMap((chunk) => [...chunk]));
  }
}

/** What every input promises (`InputPort`), held against one kind. */
export function inputContract(kind: string, open: () => Promise<InputFixture>, skip = false): void {
  describe.skipIf(skip)(`${kind} keeps the input contract`, () => {
    let fixture: InputFixture;
    let isClean = false;
    const clean = async (): Promise<void> => {
      await fixture.input.close();
      if (!isClean) await fixture.cleanup();
      isClean = true;
    };
    beforeEach(() => {
      isClean = false;
    });
    afterEach(clean);

    it('hands every byte on in order, with times that never go back, after saying that it is there', async () => {
      fixture = await open();
      const sink = new HeardSink();
      fixture.input.start(sink);
      await until(() => sink.events.length > 0, 'the first word');
      expect(sink.events).toEqual(['back']);
      // Only a UART hands over its bytes at the pace of the wire.
      expect(fixture.input.paced).toBe(kind.startsWith('serial'));
      const messages = ['90 3C 40', 'F8', 'F0 7E 7F 09 01 F7', 'C0 05', 'FE', '80 3C 40'];
      for (const message of messages) await fixture.send(bytesOf(message));
      const bytes = await sink.has(bytesOf(messages.join(' ')).length);
      expect(readStream([bytes])).toMatchObject({ messages, faults: [] });
      expect([...sink.times].sort((a, b) => a - b)).toEqual(sink.times);
    });

    it('is silent after closing, which may be done twice', async () => {
      fixture = await open();
      const sink = new HeardSink();
      fixture.input.start(sink);
      await fixture.input.close();
      await fixture.input.close();
      const { length } = sink.events;
      await fixture.send(bytesOf('90 3C 40'));
      await new Promise((resolve) => setTimeout(resolve, 20));
      expect(sink.count).toBe(0);
      expect(sink.events).toHaveLength(length);
    });

    it('gives back every descriptor and timer', async () => {
      // The first opening loads a library, which keeps what it wants.
      fixture = await open();
      await clean();
      isClean = false;
      const held = heldFromNow();
      fixture = await open();
      const sink = new HeardSink();
      fixture.input.start(sink);
      await until(() => sink.events.length > 0, 'the first word');
      await clean();
      await held.givenBack();
    });
  });
}
