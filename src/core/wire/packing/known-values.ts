import { Cc } from '../../midi/controllers.ts';
import { isGlide, isHoldPedal } from './controller-rules.ts';

const UNKNOWN = 0xffff;

/**
 * What each channel was last told, to know a message that tells it again. Told again, a controller, bend or
 * channel pressure changes nothing, so notes may pass it. Not for what acts by being sent: program changes,
 * pedals, data entry and its numbers, portamento, mode messages.
 */
export class KnownValues {
  readonly #controller = new Uint16Array(16 * 128).fill(UNKNOWN);
  readonly #bend = new Uint16Array(16).fill(UNKNOWN);
  readonly #pressure = new Uint16Array(16).fill(UNKNOWN);

  /** Notes a channel message (not a note) and tells whether it repeats what holds already. */
  isRepeated(status: number, data1: number, data2: number): boolean {
    const channel = status & 0x0f;
    const kind = status & 0xf0;
    if (kind === 0xe0) return swap(this.#bend, channel, data1 | (data2 << 7));
    if (kind === 0xd0) return swap(this.#pressure, channel, data1);
    if (kind !== 0xb0) return false;
    // Reset All Controllers, and mode messages to be careful: what holds after them depends on the receiver.
    if (data1 >= Cc.allSoundOff) this.forget(channel);
    if (actsWhenSent(data1) || isGlide(data1, data2)) return false;
    // An MSB sets its LSB back to 0 on receipt (MIDI 1.0, p. 12): with an LSB in use it is no mere repetition.
    const lsb = channel * 128 + data1 + 32;
    if (data1 < 32 && this.#controller[lsb] !== UNKNOWN && this.#controller[lsb] !== 0) {
      this.#controller[lsb] = 0;
      this.#controller[channel * 128 + data1] = data2;
      return false;
    }
    return swap(this.#controller, channel * 128 + data1, data2);
  }

  forget(channel: number): void {
    this.#controller.fill(UNKNOWN, channel * 128, channel * 128 + 128);
    this.#bend[channel] = UNKNOWN;
    this.#pressure[channel] = UNKNOWN;
  }

  forgetAll(): void {
    for (let channel = 0; channel < 16; channel += 1) this.forget(channel);
  }
}

function swap(values: Uint16Array, at: number, value: number): boolean {
  const same = values[at] === value;
  values[at] = value;
  return same;
}

/** Bank select, data entry, increment to parameter numbers, pedals, mode messages. */
function actsWhenSent(controller: number): boolean {
  return (
    controller === Cc.bankSelect ||
    controller === Cc.dataEntry ||
    controller === Cc.bankSelectFine ||
    controller === Cc.dataEntryFine ||
    (controller >= Cc.dataIncrement && controller <= Cc.rpn) ||
    controller >= Cc.allSoundOff ||
    isHoldPedal(controller)
  );
}
