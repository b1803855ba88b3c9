import { UNSET } from './rest-values.ts';

/** `channel << 15 | nonRegistered << 14 | number`: one parameter of one channel. */
export function parameterKey(channel: number, nonRegistered: boolean, number: number): number {
  return (channel << 15) | (nonRegistered ? 1 << 14 : 0) | number;
}

const FREE = -1;

/**
 * Final data of each registered and non-registered parameter that was touched. A small open hash over columns:
 *
 *   key    i32  see `parameterKey`
 *   msb    u8   data entry (CC6), UNSET while none came
 *   lsb    u8   data entry LSB (CC38)
 *   stale  u8   1 when the LSB is older than the MSB
 *   steps  i16  increments (CC96) less decrements (CC97) since the last data entry
 *
 * It grows when a parameter is met for the first time, and only then allocates.
 */
export class ParameterMemory {
  count = 0;
  key = new Int32Array(32);
  msb = new Uint8Array(32);
  lsb = new Uint8Array(32);
  stale = new Uint8Array(32);
  steps = new Int16Array(32);
  #rows = new Int32Array(64).fill(FREE);

  /** Row of a parameter, or −1. */
  find(key: number): number {
    const mask = this.#rows.length - 1;
    for (let place = Math.imul(key, 0x9e3779b1) >>> 16; ; place += 1) {
      const row = this.#rows[place & mask]!;
      if (row === FREE || this.key[row] === key) return row;
    }
  }

  /** Row of a parameter, made when it is not there yet. */
  touch(key: number): number {
    const found = this.find(key);
    if (found >= 0) return found;
    if (this.count === this.key.length) this.#grow();
    const row = this.count;
    this.count += 1;
    this.key[row] = key;
    this.msb[row] = UNSET;
    this.lsb[row] = UNSET;
    this.stale[row] = 0;
    this.steps[row] = 0;
    this.#place(row);
    return row;
  }

  clear(): void {
    this.count = 0;
    this.#rows.fill(FREE);
  }

  forgetChannel(channel: number): void {
    for (let row = 0; row < this.count; row += 1) {
      if (this.key[row]! >> 15 !== channel) continue;
      this.msb[row] = UNSET;
      this.lsb[row] = UNSET;
      this.stale[row] = 0;
      this.steps[row] = 0;
    }
  }

  copyFrom(other: ParameterMemory): void {
    this.clear();
    for (let i = 0; i < other.count; i += 1) {
      const row = this.touch(other.key[i]!);
      this.msb[row] = other.msb[i]!;
      this.lsb[row] = other.lsb[i]!;
      this.stale[row] = other.stale[i]!;
      this.steps[row] = other.steps[i]!;
    }
  }

  #place(row: number): void {
    const mask = this.#rows.length - 1;
    let place = Math.imul(this.key[row]!, 0x9e3779b1) >>> 16;
    while (this.#rows[place & mask] !== FREE) place += 1;
    this.#rows[place & mask] = row;
  }

  #grow(): void {
    const room = this.key.length * 2;
    const wider = <T extends Int32Array | Uint8Array | Int16Array>(old: T, fresh: T): T => {
      fresh.set(old);
      return fresh;
    };
    this.key = wider(this.key, new Int32Array(room));
    this.msb = wider(this.msb, new Uint8Array(room));
    this.lsb = wider(this.lsb, new Uint8Array(room));
    this.stale = wider(this.stale, new Uint8Array(room));
    this.steps = wider(this.steps, new Int16Array(room));
    this.#rows = new Int32Array(room * 2).fill(FREE);
    for (let row = 0; row < this.count; row += 1) this.#place(row);
  }
}
