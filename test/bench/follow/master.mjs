/**
 * Another machine: sends Start and then Timing Clock to two devices, each pulse off its moment by chance, now to the one
 * first and now to the other.
 * Arguments: devices, microseconds from pulse to pulse, pulses, jitter (standard deviation, µs), seed. Prints, as JSON, the
 * moment of the first pulse without jitter (ns of the monotonic clock) and by how much each sixteenth's pulse was off (µs).
 */
import { closeSync, constants, openSync, writeSync } from 'node:fs';

const [period, pulses, jitter, seed] = process.argv.slice(4).map(Number);
const fds = process.argv
  .slice(2, 4)
  .map((device) => openSync(device, constants.O_WRONLY | constants.O_NOCTTY));
const send = (byte, n) => {
  for (const at of [n % 2, (n + 1) % 2]) writeSync(fds[at], Uint8Array.of(byte));
};
let state = seed >>> 0;
const chance = () => {
  state = (Math.imul(state ^ (state >>> 15), 0x2c1b3c6d) + 0x9e3779b9) >>> 0;
  const mixed = Math.imul(state ^ (state >>> 16), 0x85ebca6b);
  return ((mixed ^ (mixed >>> 13)) >>> 0) / 2 ** 32;
};
const sleeper = new Int32Array(new SharedArrayBuffer(4));
const micros = () => Number(process.hrtime.bigint()) / 1000;
const waitUntil = (moment) => {
  const left = moment - micros();
  if (left > 1500) Atomics.wait(sleeper, 0, 0, (left - 1000) / 1000);
  while (micros() < moment);
};

const first = micros() + 300_000;
waitUntil(first - 20_000);
send(0xfa, 0);
const off = [];
let last = 0;
for (let n = 0; n < pulses; n += 1) {
  const noise = jitter * Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
  const moment = Math.max(last, first + n * period + noise);
  waitUntil(moment);
  last = micros();
  if (n % 6 === 0) off.push(last - first - n * period);
  send(0xf8, n);
}
send(0xfc, 0);
for (const fd of fds) closeSync(fd);
process.stdout.write(JSON.stringify({ firstNanos: first * 1000, off }));
