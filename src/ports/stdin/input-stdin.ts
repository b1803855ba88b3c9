import { createReadStream } from 'node:fs';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import type { HowToListen, InputPort, InputSink } from '../input-port.ts';

/** `stdin` or `-`: bytes from standard input, as they come, until it is closed. */
export function openStdinInput(how: HowToListen): InputPort {
  let sink: InputSink | undefined;
  // Not process.stdin, which in a worker thread goes round by the main thread.
  const stream = createReadStream('', { fd: 0, autoClose: false, highWaterMark: 4096 });
  return {
    name: 'stdin',
    wire: MIDI_WIRE,
    paced: false,
    start(given) {
      sink = given;
      given.back();
      stream.on('data', (bytes) => sink?.bytes(bytes as Buffer, how.clock.nowMicros()));
      stream.on('end', () => sink?.ended());
      stream.on('error', () => sink?.ended());
    },
    async close() {
      sink = undefined;
      stream.destroy();
    },
  };
}
