import { MIDI_WIRE, type WireTraits } from '../../core/wire/wire-traits.ts';
import type { DeviceLink } from '../device-link.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST, type WriteOutcome } from '../output-port.ts';
import { chooseHardware } from './hardware-name.ts';
import { type MidiBinding, type MidiOutput, namesOf } from './midi-binding.ts';

/** The interface encodes for the wire itself; nothing is known of how, so each message is counted whole. */
export const HARDWARE_WIRE: WireTraits = { ...MIDI_WIRE, runningStatus: 'device' };

/** How the binding's client becomes an open port. */
export type HardwareTarget =
  | { readonly kind: 'named'; readonly name: string }
  | { readonly kind: 'virtual'; readonly name: string };

/**
 * `interface:` and `virtual:` through the MIDI library, whose calls are synchronous and copy the message into the
 * sequencer's queue. The library takes whole messages only, so a SysEx that comes in pieces is put together
 * here. A pulled device is not reported by a write (the sequencer drops what nobody receives): whoever watches
 * the port names says so through `link`.
 */
export class HardwarePort implements OutputPort {
  readonly name: string;
  readonly wire = HARDWARE_WIRE;
  readonly #binding: MidiBinding;
  readonly #target: HardwareTarget;
  readonly #link: DeviceLink | undefined;
  #client: MidiOutput | undefined;
  /** Of the link, as it was when the client was opened. */
  #generation: number | undefined;
  #closed = false;

  /** One buffer for each length of a short message: the library wants exactly the message. */
  readonly #short = [Buffer.alloc(0), Buffer.alloc(1), Buffer.alloc(2), Buffer.alloc(3)];
  #sysEx = Buffer.alloc(1024);
  #sysExLength = 0;

  /** Throws the library's own error when the client cannot be made. */
  constructor(name: string, binding: MidiBinding, target: HardwareTarget, link?: DeviceLink) {
    this.name = name;
    this.#binding = binding;
    this.#target = target;
    this.#link = link;
    this.#open();
  }

  write(bytes: Uint8Array, start: number, length: number, _at: Float64Array): WriteOutcome {
    if (this.#client === undefined || !this.#present()) return this.#drop();
    const first = bytes[start]!;
    if (this.#sysExLength > 0 && first < 0xf8) return this.#gather(bytes, start, length);
    if (first === 0xf0) return this.#gather(bytes, start, length);
    const message = this.#short[length] ?? Buffer.alloc(length);
    for (let i = 0; i < length; i += 1) message[i] = bytes[start + i]!;
    return this.#send(message);
  }

  flush(): boolean {
    return true;
  }

  gone(): boolean {
    if (this.#closed) return false;
    if (this.#client !== undefined && !this.#present()) this.#drop();
    return this.#client === undefined;
  }

  revive(): boolean {
    if (this.#closed) return false;
    if (this.#client === undefined && this.#linkPresent()) {
      try {
        this.#open();
      } catch {
        return false; // not yet
      }
    }
    return this.#client !== undefined;
  }

  close(): void {
    this.#closed = true;
    this.#drop();
  }

  #open(): void {
    if (!this.#linkPresent()) return;
    const client = new this.#binding.Output();
    try {
      if (this.#target.kind === 'virtual') {
        client.openVirtualPort(this.#target.name);
      } else {
        const choice = chooseHardware(namesOf(client), this.#target.name);
        if (choice.kind !== 'found') {
          client.destroy();
          return;
        }
        client.openPort(choice.index);
      }
    } catch (error) {
      client.destroy();
      throw error;
    }
    this.#generation = this.#link?.generation;
    this.#client = client;
  }

  #linkPresent(): boolean {
    return this.#link?.present ?? true;
  }

  #present(): boolean {
    return this.#link === undefined || (this.#link.present && this.#link.generation === this.#generation);
  }

  #gather(bytes: Uint8Array, start: number, length: number): WriteOutcome {
    // A new status cuts a SysEx that never ended: what was gathered is sent as it stands, closed.
    const first = bytes[start]!;
    if (this.#sysExLength > 0 && first >= 0x80 && first !== 0xf7) {
      this.#append(SYSEX_END, 0, 1);
      const outcome = this.#sendSysEx();
      if (outcome !== WRITE_DONE) return outcome;
      if (first !== 0xf0) return this.write(bytes, start, length, NO_TIME);
    }
    this.#append(bytes, start, length);
    return this.#sysEx[this.#sysExLength - 1] === 0xf7 ? this.#sendSysEx() : WRITE_DONE;
  }

  #append(bytes: Uint8Array, start: number, length: number): void {
    const needed = this.#sysExLength + length;
    if (needed > this.#sysEx.length) {
      const larger = Buffer.alloc(Math.max(needed, 2 * this.#sysEx.length));
      larger.set(this.#sysEx.subarray(0, this.#sysExLength));
      this.#sysEx = larger;
    }
    for (let i = 0; i < length; i += 1) this.#sysEx[this.#sysExLength + i] = bytes[start + i]!;
    this.#sysExLength = needed;
  }

  #sendSysEx(): WriteOutcome {
    const length = this.#sysExLength;
    this.#sysExLength = 0;
    return this.#send(this.#sysEx.subarray(0, length));
  }

  #send(message: Buffer): WriteOutcome {
    try {
      this.#client!.sendMessage(message);
      return WRITE_DONE;
    } catch {
      this.#link?.reportGone();
      return this.#drop();
    }
  }

  #drop(): WriteOutcome {
    this.#sysExLength = 0;
    const client = this.#client;
    this.#client = undefined;
    try {
      client?.closePort();
      client?.destroy();
    } catch {
      // the device went first
    }
    return WRITE_LOST;
  }
}

const SYSEX_END = Uint8Array.of(0xf7);
const NO_TIME = new Float64Array(2);
