import { Cc } from '../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../midi/status.ts';
import { classifySysEx } from '../midi/universal-sysex.ts';
import { ReceiverMemory } from '../schedule/receiver-memory.ts';

/**
 * What a stream of MIDI has said so far: the sender's is what its journal tells, the receiver's is what the instrument
 * behind it has been sent. Both fold the same messages in the same way, so without loss they are equal.
 *
 *   strikes   u8  [2048]    note-ons less note-offs, by channel and key
 *   velocity  u8  [2048]    of the latest note-on
 *   touched   u8  [2048]    1 for each key that ever sounded
 *   struck    f64 [2048]    when (µs) the latest note-on was sent
 *   counts    u8  [128]     how often each mode message 120–127 came, by channel and number − 120, mod 64
 */
export class StreamMemory {
  /** Programs, controllers, parameters, bend and pressure. */
  readonly held = new ReceiverMemory();
  readonly strikes = new Uint8Array(2048);
  readonly velocity = new Uint8Array(2048);
  readonly touched = new Uint8Array(2048);
  readonly struck = new Float64Array(2048);
  readonly counts = new Uint8Array(128);

  /** Bit by channel: something was said since the bit was last cleared. */
  changed = 0xffff;

  /** @param command one whole message or a piece of SysEx, status byte first */
  fold(command: Uint8Array, micros: number): void {
    const status = command[0]!;
    const data1 = command[1] ?? 0;
    const data2 = command[2] ?? 0;
    if (status < 0xf0) this.changed |= 1 << (status & 0x0f);
    if (status === 0xff) this.#reset();
    else if (status === 0xf0) this.#foldSysEx(command);
    else if (isNoteOn(status, data2)) this.#strike((status & 0x0f) * 128 + data1, data2, micros);
    else if (isNoteOff(status, data2)) this.#release((status & 0x0f) * 128 + data1);
    else if (status < 0xf0) {
      if ((status & 0xf0) === 0xb0 && data1 >= Cc.allSoundOff) this.#foldMode(status & 0x0f, data1);
      this.held.fold(status, data1, data2);
    }
  }

  #strike(cell: number, velocity: number, micros: number): void {
    if (this.strikes[cell]! < 255) this.strikes[cell]! += 1;
    this.velocity[cell] = velocity;
    this.touched[cell] = 1;
    this.struck[cell] = micros;
  }

  #release(cell: number): void {
    if (this.strikes[cell]! > 0) this.strikes[cell]! -= 1;
  }

  /**
   * 120 and 123–127 end every note of their channel (MIDI 1.0, p. 20–25), but not every instrument heeds them, so a key counts
   * as down until its note-off. No lost note-on is struck late behind one of them.
   */
  #foldMode(channel: number, controller: number): void {
    const place = channel * 8 + controller - Cc.allSoundOff;
    this.counts[place] = (this.counts[place]! + 1) & 63;
    if (controller !== Cc.resetAllControllers && controller !== Cc.localControl)
      this.struck.fill(LONG_AGO, channel * 128, channel * 128 + 128);
  }

  #foldSysEx(command: Uint8Array): void {
    const last = command.length - 1;
    if (command[last] === 0xf7 && classifySysEx(command).reset) this.#reset();
  }

  /** Nothing said before is in force; a key counts as down until its note-off here too. */
  #reset(): void {
    this.held.forget();
    this.struck.fill(LONG_AGO);
    this.changed = 0xffff;
  }
}

const LONG_AGO = Number.NEGATIVE_INFINITY;
