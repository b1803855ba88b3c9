/**
 * The rig alone: reads a device with blocking reads and does nothing but stamp each Timing Clock, until Stop.
 * Argument: device. Prints, as JSON, the moment of each sixteenth's clock (µs of the monotonic clock).
 */
import { constants, openSync, readSync } from 'node:fs';

const fd = openSync(process.argv[2], constants.O_RDONLY | constants.O_NOCTTY);
const bytes = new Uint8Array(64);
const stamps = [];
process.stderr.write('ready\n');
for (let pulses = 0, isOver = false; !isOver; ) {
  const count = readSync(fd, bytes);
  const micros = Number(process.hrtime.bigint()) / 1000;
  for (const byte of bytes.subarray(0, count)) {
    if (byte === 0xf8 && pulses % 6 === 0) stamps.push(micros);
    if (byte === 0xf8) pulses += 1;
    isOver ||= byte === 0xfc;
  }
}
process.stdout.write(JSON.stringify(stamps));
