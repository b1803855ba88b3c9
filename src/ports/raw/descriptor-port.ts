import { closeSync, writeSync } from 'node:fs';
import type { WireTraits } from '../../core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL, WRITE_LOST, type WriteOutcome } from '../output-port.ts';

/** How a device is opened for writing, without ever blocking. */
export interface DeviceOpener {
  /** A non-blocking descriptor; undefined while the device is not there. Never throws. */
  open(): number | undefined;
  /** False once somebody else saw the device go. */
  present(): boolean;
  /** A write failed: the device is gone. */
  failed(): void;
  close(): void;
}

/**
 * Bytes to a device through a non-blocking file descriptor: a UART or a character device. The driver takes
 * what it has room for; the rest of a message waits here, and until it has left, `write` says full. So a
 * blocked device never holds up the sending thread, and no message is ever torn by the next.
 */
export class DescriptorPort implements OutputPort {
  readonly name: string;
  readonly wire: WireTraits;
  readonly #opener: DeviceOpener;
  #fd: number | undefined;
  #held = Buffer.allocUnsafeSlow(FIRST_HELD);
  #heldFrom = 0;
  #heldTo = 0;
  #closed = false;
  /** [0] run time (µs) of the first write that the device had no room for; −1 while it takes bytes. */
  readonly #fullSince = Float64Array.of(-1);

  constructor(name: string, wire: WireTraits, opener: DeviceOpener) {
    this.name = name;
    this.wire = wire;
    this.#opener = opener;
    this.#fd = opener.open();
  }

  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (!this.#alive()) return WRITE_LOST;
    const taken = this.flush() ? this.#push(bytes, start, length) : 0;
    if (this.#fd === undefined) return WRITE_LOST;
    if (taken === 0) return this.#blocked(at);
    this.#fullSince[0] = -1;
    if (taken < length) this.#hold(bytes, start + taken, length - taken);
    return WRITE_DONE;
  }

  flush(): boolean {
    if (this.#heldFrom === this.#heldTo) return true;
    if (!this.#alive()) return false;
    this.#heldFrom += this.#push(this.#held, this.#heldFrom, this.#heldTo - this.#heldFrom);
    return this.#heldFrom === this.#heldTo;
  }

  revive(): boolean {
    if (this.#closed) return false;
    this.#fd ??= this.#opener.open();
    return this.#fd !== undefined;
  }

  gone(): boolean {
    return !this.#closed && !this.#alive();
  }

  close(): void {
    if (this.#closed) return;
    this.flush();
    this.#drop();
    this.#closed = true;
    this.#opener.close();
  }

  /** A device that takes nothing for long is as good as gone: what it would play afterwards is stale. */
  #blocked(at: Float64Array): WriteOutcome {
    const since = this.#fullSince;
    if (since[0]! < 0) since[0] = at[0]!;
    if (at[0]! - since[0]! < BLOCKED_MICROS) return WRITE_FULL;
    this.#drop();
    this.#opener.failed();
    return WRITE_LOST;
  }

  #alive(): boolean {
    if (this.#fd !== undefined && !this.#opener.present()) this.#drop();
    return this.#fd !== undefined;
  }

  /** Bytes the driver took: 0 when it is full. Any other error means that the device is gone. */
  #push(bytes: Uint8Array, start: number, length: number): number {
    try {
      return writeSync(this.#fd!, bytes, start, length);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      // EINTR comes only before anything was taken; the next try does it.
      if (code !== 'EAGAIN' && code !== 'EINTR') {
        this.#drop();
        this.#opener.failed();
      }
      return 0;
    }
  }

  #hold(bytes: Uint8Array, start: number, length: number): void {
    if (length > this.#held.length) this.#held = Buffer.allocUnsafeSlow(length);
    this.#held.set(bytes.subarray(start, start + length));
    this.#heldFrom = 0;
    this.#heldTo = length;
  }

  #drop(): void {
    this.#heldFrom = this.#heldTo = 0;
    this.#fullSince[0] = -1;
    const fd = this.#fd;
    this.#fd = undefined;
    if (fd === undefined) return;
    try {
      closeSync(fd);
    } catch {
      // the device went first
    }
  }
}

/** Longer than any pause that music or a driver's buffer explains. */
const BLOCKED_MICROS = 2_000_000;
/** A message or a piece of SysEx is rarely longer; a longer one gets a buffer of its own. */
const FIRST_HELD = 1024;
