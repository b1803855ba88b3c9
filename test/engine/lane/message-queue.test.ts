import fc from 'fast-check';
import { expect, test } from 'vitest';
import { AT_LENGTH, At } from '../../../src/core/schedule/outlet.ts';
import { DROPPED, MessageQueue, wireLength } from '../../../src/engine/lane/message-queue.ts';

interface Row {
  word: number;
  readonly bytes: readonly number[];
  readonly wire: number;
  readonly times: readonly number[];
}

const channelMessage = fc
  .tuple(fc.constantFrom(0x80, 0x90, 0x91, 0xb0, 0xc0), fc.constantFrom(60, 61), fc.constantFrom(0, 64))
  .map(([status, data1, data2]) => ({
    kind: 'message' as const,
    word: (status << 16) | (data1 << 8) | data2,
  }));
const sysEx = fc
  .uint8Array({ minLength: 1, maxLength: 32, max: 127 })
  .map((bytes) => ({ kind: 'sysex' as const, bytes: [...bytes] }));
const step = fc.oneof(
  { weight: 6, arbitrary: channelMessage },
  { weight: 3, arbitrary: sysEx },
  { weight: 5, arbitrary: fc.constant({ kind: 'remove' as const }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'unstruck' as const }) },
  { weight: 1, arbitrary: fc.constant({ kind: 'others' as const }) },
);

/** The queue beside a plain list; `crowd` rows go in first, so that it grows past its first rows and bytes. */
class Pair {
  readonly queue = new MessageQueue();
  readonly list: Row[] = [];
  readonly #at = new Float64Array(AT_LENGTH);
  readonly #came = new Float64Array(1);
  readonly #into = new Uint8Array(32);
  #moment = 0;

  add(word: number, bytes: readonly number[] = []): void {
    this.#moment += 10;
    this.#at[At.dueMicros] = this.#moment;
    this.#at[At.songMicros] = this.#moment + 1;
    this.#came[0] = this.#moment + 2;
    const wire = bytes.length > 0 ? bytes.length : wireLength(word >>> 16);
    if (bytes.length > 0) {
      // From the middle of a buffer, as pieces come.
      this.queue.addBytes(word, Uint8Array.of(9, ...bytes, 9), 1, bytes.length, this.#at, this.#came);
    } else this.queue.add(word, wire, this.#at, this.#came);
    this.list.push({ word, bytes, wire, times: [this.#moment, this.#moment + 1, this.#moment + 2] });
  }

  remove(): void {
    const row = this.list.shift();
    if (row === undefined) return;
    const { queue } = this;
    const found = [queue.headWord(), queue.headLength()];
    queue.headTimes(this.#at, this.#came);
    found.push(this.#at[At.dueMicros]!, this.#at[At.songMicros]!, this.#came[0]!);
    queue.headBytes(this.#into);
    found.push(...this.#into.subarray(0, row.bytes.length));
    // Thousands of rows: `expect` is for those that differ.
    const wanted = [row.word, row.bytes.length, ...row.times, ...row.bytes];
    if (found.some((value, n) => value !== wanted[n])) expect(found).toEqual(wanted);
    queue.removeHead(row.word === DROPPED ? 0 : row.wire);
  }

  agree(): void {
    expect(this.queue.rows).toBe(this.list.length);
    const waiting = this.list.filter(({ word }) => word !== DROPPED);
    expect(this.queue.waitingBytes).toBe(waiting.reduce((sum, { wire }) => sum + wire, 0));
  }

  dropUnstruck(): void {
    const unstruck = new Uint16Array(2048);
    this.queue.dropUnstruck(1, unstruck);
    const open = new Map<number, number>();
    for (const row of this.list) {
      const [status, key, velocity] = [row.word >>> 16, (row.word >>> 8) & 127, row.word & 127];
      if (row.bytes.length > 0 || (status & 0xe0) !== 0x80 || (status & 15) !== 0) continue;
      const isOn = (status & 0xf0) === 0x90 && velocity > 0;
      const before = open.get(key) ?? 0;
      if (!isOn && before === 0) continue;
      open.set(key, isOn ? before + 1 : before - 1);
      row.word = DROPPED;
    }
    for (const key of [60, 61]) expect(unstruck[key]).toBe(open.get(key) ?? 0);
  }

  dropOthers(): void {
    const others = this.list.filter(({ word }) => word !== DROPPED && ((word >>> 16) & 0xe0) !== 0x80);
    expect(this.queue.dropOthers()).toBe(others.some(({ word }) => word >>> 16 === 0xf0));
    for (const row of others) row.word = DROPPED;
  }
}

test('what waits for a port: in order, whole, counted, however much it is and whatever is taken back', () => {
  fc.assert(
    fc.property(
      fc.array(step, { maxLength: 80 }),
      fc.integer({ min: 0, max: 6000 }),
      fc.nat(50),
      (steps, crowd, begun) => {
        const pair = new Pair();
        // So that the rings do not begin at their first place.
        for (let n = 0; n < begun; n += 1) pair.add(0xf0_0000, [n & 127, 1, 2]);
        for (let n = 0; n < begun; n += 1) pair.remove();
        for (let n = 0; n < crowd; n += 1) {
          if (n % 3 === 0)
            pair.add(
              0xf0_0000,
              Array.from({ length: 1 + (n % 32) }, (_, i) => (n + i) & 127),
            );
          else pair.add(0x90_0000 | ((n & 127) << 8) | 64);
        }
        for (const each of steps) {
          if (each.kind === 'message') pair.add(each.word);
          else if (each.kind === 'sysex') pair.add(0xf0_0000, each.bytes);
          else if (each.kind === 'remove') pair.remove();
          else if (each.kind === 'unstruck') pair.dropUnstruck();
          else pair.dropOthers();
          pair.agree();
        }
        while (pair.list.length > 0) pair.remove();
        pair.agree();
      },
    ),
    { numRuns: 40 },
  );
});

test('behind the last row there is nothing to be taken out', () => {
  const pair = new Pair();
  for (const word of [0x90_3c_40, 0xb0_07_40, 0x90_3d_40]) pair.add(word);
  pair.queue.clear();
  pair.list.length = 0;
  pair.dropUnstruck();
  pair.dropOthers();
  pair.agree();
});

test('an emptied queue is as good as new', () => {
  const pair = new Pair();
  for (let n = 0; n < 5000; n += 1) pair.add(0xf0_0000, [1, 2, 3, n & 127]);
  for (let n = 0; n < 7; n += 1) pair.remove();
  pair.queue.clear();
  pair.list.length = 0;
  pair.agree();
  pair.add(0x90_3c_40);
  pair.add(0xf0_0000, [5, 6]);
  pair.remove();
  pair.remove();
  pair.agree();
});
