// A process of its own at the far end of a pty: stamps each read with the machine's monotonic clock, and on a
// line from its parent writes down what came. Arguments: device, file for the bytes, file for the stamps.
import { constants, openSync, writeFileSync } from 'node:fs';
import { hrtime } from 'node:process';
import { ReadStream } from 'node:tty';

const [device, bytesPath, stampsPath] = process.argv.slice(2);
const fd = openSync(device, constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
const stream = new ReadStream(fd);
const chunks = [];
const stamps = [];
stream.on('data', (bytes) => {
  stamps.push([Number(hrtime.bigint()), bytes.length]);
  chunks.push(bytes);
});
process.stdin.on('data', () => {
  writeFileSync(bytesPath, Buffer.concat(chunks));
  writeFileSync(stampsPath, JSON.stringify(stamps));
  stream.destroy();
  process.exit(0);
});
process.stdout.write('ready\n');
