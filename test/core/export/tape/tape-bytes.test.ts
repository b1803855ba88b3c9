import { describe, expect, test } from 'vitest';
import { tapeBytes } from '../../../../src/core/export/tape/tape-bytes.ts';
import type { TapeBaud } from '../../../../src/core/export/tape/tape-format.ts';

/** Half a cycle of 2400 Hz, in seconds. */
const HALF = 1 / 4800;

/**
 * Where a tape passes through zero, half cycle by half cycle (tape-format.ts has the standard): a one is 16 halves of
 * 2400 Hz at 300 baud and 4 at 1200, a zero half as many, twice as long.
 */
class Crossings {
  readonly at: number[] = [];
  #now = 1;
  readonly #perBit: number;
  /** What a half cycle takes, in those of a tape that runs as it should. */
  speed: (seconds: number) => number = () => 1;

  constructor(baud: TapeBaud) {
    this.#perBit = 4800 / baud;
    this.at.push(this.#now);
  }

  get now(): number {
    return this.#now;
  }

  halves(count: number, length = 1): this {
    for (let n = 0; n < count; n += 1) {
      this.#now += length * HALF * this.speed(this.#now);
      this.at.push(this.#now);
    }
    return this;
  }

  bit(value: number): this {
    return value === 1 ? this.halves(this.#perBit) : this.halves(this.#perBit / 2, 2);
  }

  /** A zero, eight bits from the lowest up, and ones. */
  byte(value: number, stops = 2): this {
    this.bit(0);
    for (let bit = 0; bit < 8; bit += 1) this.bit((value >> bit) & 1);
    for (let stop = 0; stop < stops; stop += 1) this.bit(1);
    return this;
  }

  /** Silence: nothing passes through zero. */
  nothing(seconds: number): this {
    this.#now += seconds;
    this.at.push(this.#now);
    return this;
  }
}
const tape = (baud: TapeBaud = 1200) => new Crossings(baud);
/** Values with `?` behind those that were not clear. */
function read({ at }: { readonly at: readonly number[] }, baud: TapeBaud = 1200): string {
  const { values, clear } = tapeBytes(Float64Array.from(at), baud);
  return [...values].map((value, n) => `${value}${clear[n] === 1 ? '' : '?'}`).join(' ');
}

const BYTES = [0, 255, 0x5a, 0xc3, 1, 128, 0x55];
const bytes = (found: Crossings, values: readonly number[] = BYTES) => {
  for (const value of values) found.byte(value);
  return found;
};

describe.each([300, 1200] as const)('%i baud', (baud) => {
  test('characters on end, behind a leader, with the moments at which they begin', () => {
    const { at } = bytes(tape(baud).halves(40)).halves(40);
    const { values, clear, seconds } = tapeBytes(Float64Array.from(at), baud);
    expect([...values]).toEqual(BYTES);
    expect([...clear]).toEqual(BYTES.map(() => 1));
    const character = 11 * (4800 / baud);
    for (const [n, moment] of seconds.entries())
      expect(moment).toBeCloseTo(1 + (40 + n * character) * HALF, 9);
  });

  test('with ones between them, and to the last crossing of a recording', () => {
    const found = tape(baud).halves(40);
    for (const [n, value] of BYTES.entries()) found.byte(value).halves(16 * n);
    expect(read(found, baud)).toBe(BYTES.join(' '));
  });

  test('a leader of seven half cycles is one; of six it is none', () => {
    // Its bits are zeros: nothing in it could be taken for another leader.
    const withLeader = (halves: number) => tape(baud).halves(halves).byte(0).nothing(1).halves(3);
    expect(read(withLeader(7), baud)).toBe('0');
    expect(read(withLeader(6), baud)).toBe('');
  });

  test('a leader that is broken off is none, nor with another piece behind it', () => {
    const broken = tape(baud).halves(4).halves(1, 5).halves(4).byte(0).nothing(1);
    expect(read(broken.halves(3), baud)).toBe('');
  });

  test('the half cycle is the mean of a leader whose cycles are not alike', () => {
    const uneven = tape(baud);
    for (const length of [1.06, 1.06, 0.96, 0.96, 0.98, 0.98, 1]) uneven.halves(1, length);
    expect(read(bytes(uneven).halves(40), baud)).toBe(BYTES.join(' '));
    // One cycle of a long leader changes it little.
    expect(read(bytes(tape(baud).halves(40).halves(2, 1.12)).halves(40), baud)).toBe(BYTES.join(' '));
  });

  test('a recording may end with the last character', () => {
    expect(read(bytes(tape(baud).halves(40)), baud)).toBe(BYTES.join(' '));
    // Its last half cycle is missing.
    const { at } = bytes(tape(baud).halves(40), [7, 8]);
    expect(read({ at: at.slice(0, -1) }, baud)).toBe('7 8');
  });

  test.each([0.8, 0.9, 1.1, 1.26])('a tape at %f of its half cycle', (factor) => {
    const found = tape(baud);
    found.speed = () => factor;
    expect(read(bytes(found.halves(40)).halves(40), baud)).toBe(BYTES.join(' '));
  });

  test.each([0.78, 1.28])('a tape at %f of it is none', (factor) => {
    const found = tape(baud);
    found.speed = () => factor;
    expect(read(bytes(found.halves(40)).halves(40), baud)).toBe('');
  });

  test('a tape that changes its speed in a long leader, and from character to character', () => {
    for (const sign of [1, -1]) {
      const found = tape(baud).halves(40);
      // A fifth in two seconds of leader; then a fifth back in as many of characters.
      const from = found.now;
      found.speed = (seconds) => 1 + sign * 0.2 * Math.min(1, (seconds - from) / 2);
      found.halves(9_600);
      const back = found.now;
      found.speed = (seconds) => 1 + sign * 0.2 * Math.max(0, 1 - (seconds - back) / 2);
      const many = Array.from({ length: (2 * baud) / 11 }, (_, n) => (37 * n) & 0xff);
      expect(read(bytes(found, many).halves(40), baud)).toBe(many.join(' '));
    }
  });

  test('nothing, and less than a leader', () => {
    for (const count of [0, 1, 2, 3])
      expect(read({ at: tape(baud).halves(40).at.slice(0, count) }, baud)).toBe('');
  });
});

test('a recording may end in the first stop bit: 15 of its 16 half cycles are a one', () => {
  const { at } = bytes(tape(300).halves(40), [7]).byte(8, 1);
  expect(read({ at: at.slice(0, -1) }, 300)).toBe('7 8');
});

describe('a character that was hit', () => {
  /** Three characters at 300 baud; the middle one's bits as halves each, of the length that fills the bit. */
  const hitWith = (...halves: readonly number[]) => {
    const found = tape(300).halves(40).byte(0x11);
    for (const count of halves) found.halves(count, 16 / count);
    return read(found.byte(0x22).halves(40), 300).split(' ')[1];
  };
  const [zero, one] = [8, 16];
  /** Start, bits from the lowest up, stops: 0F. */
  const plain = [zero, one, one, one, one, zero, zero, zero, zero, one, one];
  const withBit = (bit: number, halves: number) => hitWith(...plain.with(bit, halves));

  test('a crossing or two too many or too few do no harm', () => {
    expect(hitWith(...plain)).toBe('15');
    for (const halves of [14, 15, 17, 18, 20]) expect([halves, withBit(1, halves)]).toEqual([halves, '15']);
    for (const halves of [6, 7, 9, 10]) expect([halves, withBit(6, halves)]).toEqual([halves, '15']);
  });

  test('half way between one and zero is neither, nor is far more or less than either', () => {
    // Shares of a one: 11 and 13 of 16 are less than 0.08 from the middle; 21 of 16 more than 1.3, 4 less than 0.3.
    for (const halves of [11, 12, 13, 21, 24, 4, 2])
      expect([halves, withBit(3, halves)?.at(-1)]).toEqual([halves, '?']);
  });

  test('a start bit that is no zero, and a stop bit that is no one', () => {
    expect(withBit(9, zero)).toBe('15?');
    // The second stop bit is waited for, and not looked at.
    expect(withBit(10, 12)).toBe('15');
  });
});

describe('places', () => {
  test('a character that nothing is left of keeps its place by time, and those behind it stay in theirs', () => {
    for (const lost of [1, 2, 5]) {
      const found = bytes(tape().halves(40), [1, 2, 3]);
      found.nothing(lost * 11 * 4 * HALF);
      const all = read(bytes(found, [4, 5, 6]).halves(60)).split(' ');
      expect([lost, all.length]).toEqual([lost, 6 + lost]);
      expect(all.slice(0, 3)).toEqual(['1', '2', '3']);
      // The one behind the silence has no crossing before it to begin at.
      expect(all.slice(-2)).toEqual(['5', '6']);
      expect(all.slice(3, -2).every((one) => one.endsWith('?'))).toBe(true);
    }
  });

  test('after two dozen of them the block is given up, and none is kept', () => {
    const found = bytes(tape().halves(40), [1, 2, 3]);
    found.nothing(40 * 11 * 4 * HALF);
    expect(read(bytes(found.halves(40), [4, 5, 6]).halves(60))).toBe('1 2 3 4 5 6');
    // Where none of the mark is between, the stop bits of 4 are the leader of what follows.
    const silent = bytes(tape().halves(40), [1, 2, 3]).nothing(40 * 11 * 4 * HALF);
    expect(read(bytes(silent, [4, 5, 6]).halves(60))).toBe('1 2 3 5 6');
    const most = bytes(tape().halves(40), [1, 2, 3]).nothing(20 * 11 * 4 * HALF);
    expect(read(bytes(most, [4, 5, 6]).halves(60)).split(' ')).toHaveLength(26);
  });

  test('where the mark sounds the block is over; places kept just before it are none', () => {
    const found = bytes(tape().halves(40), [1, 2, 3]).halves(200);
    expect(read(bytes(found, [4, 5]).halves(60))).toBe('1 2 3 4 5');
    const lost = bytes(tape().halves(40), [1, 2, 3])
      .nothing(11 * 4 * HALF)
      .halves(400);
    expect(read(bytes(lost, [4, 5]).halves(60))).toBe('1 2 3 4 5');
    // A character without a stop bit.
    const hit = bytes(tape().halves(40), [1, 2, 3]).byte(0, 0).bit(0).halves(400);
    expect(read(bytes(hit, [4, 5]).halves(60))).toBe('1 2 3 4 5');
  });

  test('a bit of something else before a start bit is no mark: the character is lost, and the next is not', () => {
    const found = bytes(tape().halves(40), [1, 2]).halves(8, 0.5);
    expect(read(bytes(found, [3, 4]).halves(60))).toBe('1 2 0? 4');
  });

  test('where the sound breaks off in the leader, it is looked for again', () => {
    const found = tape().halves(40).nothing(0.1);
    expect(read(bytes(found.halves(40), [7, 8]).halves(40))).toBe('7 8');
    // A pause that is little longer than a start bit could be: six halves of the mark.
    const short = tape().halves(40).halves(1, 6);
    expect(read(bytes(short.halves(40), [7, 8]).halves(40))).toBe('7 8');
  });

  test('a character may come late while the mark sounds, by any part of a bit', () => {
    for (const baud of [300, 1200] as const)
      for (let late = 0; late <= 4; late += 0.125) {
        const found = bytes(tape(baud).halves(40), [1, 2]);
        const halves = late * (4800 / baud);
        // Whole halves of the mark, and what is left of one in the next, which is the longer for it.
        found.halves(Math.floor(halves));
        if (halves % 1 === 0)
          expect([late, read(bytes(found, [3, 4]).halves(60), baud)]).toEqual([late, '1 2 3 4']);
      }
  });
});
