// A process of its own between two pseudo-terminals: a serial line of a given baud rate with faults of its own, that
// stamps every byte with the machine's monotonic clock as it leaves. Argument: a FarLine as JSON (far-line.ts). Prints
// the two device names; when its input ends it writes down what it did.
import { readSync, writeFileSync, writeSync } from 'node:fs';
import { createRequire } from 'node:module';
import { hrtime } from 'node:process';

const require = createRequire(import.meta.url);
const { requireBinary } = require('@lydell/node-pty/requireBinary.js');
const native = requireBinary('pty.node');
const line = JSON.parse(process.argv[2]);
const [near, far] = [native.open(80, 24), native.open(80, 24)];
process.stdout.write(`${near.pty} ${far.pty}\n`);

const byteNanos = 1e10 / line.baud;
const scratch = Buffer.alloc(4096);
const one = Buffer.alloc(1);
/** Bytes on their way: value and when each is through. */
const waiting = [];
const log = [];
let free = 0;
let count = 0;
const nap = new Int32Array(new SharedArrayBuffer(4));
const now = () => Number(hrtime.bigint());

let isOver = false;
process.stdin.on('end', () => {
  isOver = true;
});
process.stdin.resume();

function read(fd) {
  try {
    return readSync(fd, scratch);
  } catch (error) {
    if (error.code !== 'EAGAIN') throw error;
    return 0;
  }
}

function put(value, cameNanos) {
  free = Math.max(free, cameNanos) + byteNanos;
  waiting.push([value, free + (line.delayMicros ?? 0) * 1000, cameNanos]);
}

function take(value, cameNanos) {
  count += 1;
  if (line.loseEvery && count % line.loseEvery === 0) return;
  put(line.flipEvery && count % line.flipEvery === 0 ? value ^ line.flipBits : value, cameNanos);
  if (line.addEvery && count % line.addEvery === 0) put(line.added ?? 0x55, cameNanos);
}

function step() {
  // A tty that nobody has open yet is not raw: nothing is sent to it, so nothing comes.
  const got = read(near.master);
  const came = now();
  for (let at = 0; at < got; at += 1) take(scratch[at], came);
  while (waiting.length > 0 && waiting[0][1] <= now()) {
    const [value, , cameNanos] = waiting.shift();
    one[0] = value;
    const left = now();
    writeSync(far.master, one);
    log.push([value, cameNanos, left]);
  }
}

function run() {
  if (isOver) {
    if (line.log) writeFileSync(line.log, JSON.stringify(log));
    process.exit(0);
  }
  for (let n = 0; n < 50; n += 1) {
    step();
    if (!line.spins) Atomics.wait(nap, 0, 0, 0.2);
  }
  setImmediate(run);
}
run();
