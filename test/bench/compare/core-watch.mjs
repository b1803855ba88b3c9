/**
 * One core of the machine: sleeps a millisecond at a time, and prints from when to when it was not woken, in milliseconds
 * since 1970. Argument: so many milliseconds are worth telling.
 */
const worthTelling = Number(process.argv[2]);
const never = new Int32Array(new SharedArrayBuffer(4));
for (let last = performance.now(); ; ) {
  Atomics.wait(never, 0, 0, 1);
  const now = performance.now();
  if (now - last >= worthTelling)
    process.stdout.write(`${performance.timeOrigin + last} ${performance.timeOrigin + now}\n`);
  last = now;
}
