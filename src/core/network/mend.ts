import { Cc, isSwitchOn } from '../midi/controllers.ts';
import { parameterKey } from '../schedule/parameter-memory.ts';
import { NO_PARAMETER } from '../schedule/receiver-memory.ts';
import { UNSET } from '../schedule/rest-values.ts';
import type { ChannelJournal, ControllerLog, Journal, ParameterLog } from './journal.ts';
import type { StreamMemory } from './stream-memory.ts';

/**
 * Sends what brings the receiver to where a journal says the sender is (RFC 6295, section 4 and appendix A). Where nothing
 * was lost nothing is sent, so every journal can be heeded, not only the one behind a gap. A channel that says what it
 * said before, and was sent nothing since, is as it should be.
 */
export class Mender {
  readonly #memory: StreamMemory;
  readonly #heeded: (ChannelJournal | undefined)[] = [];

  /** @param memory what the receiver holds */
  constructor(memory: StreamMemory) {
    this.#memory = memory;
  }

  /** @param emit sends one message; whoever is called folds it into the memory */
  mend({ channels }: Journal, emit: (command: Uint8Array) => void): void {
    const memory = this.#memory;
    for (const journal of channels) {
      const bit = 1 << journal.channel;
      if (this.#heeded[journal.channel] === journal && (memory.changed & bit) === 0) continue;
      new ChannelMender(journal, memory, emit).mend();
      this.#heeded[journal.channel] = journal;
      memory.changed &= ~bit;
    }
  }

  /** A new sender's counts are not what came here: they are taken as they stand. */
  adoptCounts({ channels }: Journal): void {
    const { counts } = this.#memory;
    counts.fill(0);
    for (const { channel, controllers } of channels) {
      for (const { number, tool, value } of controllers)
        if (tool === 'count' && number >= Cc.allSoundOff)
          counts[channel * 8 + number - Cc.allSoundOff] = value;
    }
  }
}

class ChannelMender {
  readonly #journal: ChannelJournal;
  readonly #memory: StreamMemory;
  readonly #emit: (command: Uint8Array) => void;

  constructor(journal: ChannelJournal, memory: StreamMemory, emit: (command: Uint8Array) => void) {
    this.#journal = journal;
    this.#memory = memory;
    this.#emit = emit;
  }

  /** What wipes other things out comes first, notes last: they sound with what was set before them. */
  mend(): void {
    const { controllers, parameters, isLastSelected, bend, pressure, keyPressure } = this.#journal;
    const { held } = this.#memory;
    const channel = this.#journal.channel;
    for (const log of controllers) if (log.tool === 'count') this.#count(log);
    this.#released();
    this.#program();
    this.#values(controllers);
    for (const log of parameters) this.#parameter(log);
    const last = parameters.at(-1);
    if (last !== undefined && isLastSelected) this.#select(last);
    else if (last !== undefined) this.#selectNone();
    if (bend !== undefined && held.bend[channel] !== bend) this.#send(0xe0, bend & 127, bend >> 7);
    if (pressure !== undefined && held.pressure[channel] !== pressure) this.#send(0xd0, pressure);
    for (const { key, pressure } of keyPressure)
      if (held.keyPressure[channel * 128 + key] !== pressure) this.#send(0xa0, key, pressure);
    for (const { key, velocity, play } of this.#journal.struck)
      if (play && velocity > 0 && this.#memory.strikes[channel * 128 + key] === 0)
        this.#send(0x90, key, velocity);
  }

  #count({ number, value }: ControllerLog): void {
    if (number < Cc.allSoundOff) return;
    const place = this.#journal.channel * 8 + number - Cc.allSoundOff;
    if (this.#memory.counts[place] === value) return;
    this.#send(0xb0, number, 0);
    this.#memory.counts[place] = value; // once will do, however often it was lost
  }

  #released(): void {
    const { channel, released } = this.#journal;
    for (const key of released) {
      for (let strikes = this.#memory.strikes[channel * 128 + key]!; strikes > 0; strikes -= 1)
        this.#send(0x80, key, RELEASE_VELOCITY);
    }
  }

  #program(): void {
    const { channel, program } = this.#journal;
    if (program === undefined) return;
    const { held } = this.#memory;
    const { number, bank } = program;
    const [msb, lsb] = [held.bankMsb[channel]!, held.bankLsb[channel]!];
    const hasBank =
      bank === undefined || ((msb !== UNSET || lsb !== UNSET) && ((half(msb) << 7) | half(lsb)) === bank);
    if (held.program[channel] === number && hasBank) return;
    if (bank !== undefined) {
      this.#control(Cc.bankSelect, bank >> 7);
      this.#control(Cc.bankSelectFine, bank & 127);
    }
    this.#send(0xc0, number);
  }

  /**
   * In the order of the logs. Of a coarse controller and its fine half the second is sent again behind the first, and where it
   * was the second to the sender alone: a new MSB may have set the LSB to 0 (MIDI 1.0, p. 12).
   */
  #values(logs: readonly ControllerLog[]): void {
    const { held } = this.#memory;
    const { channel } = this.#journal;
    const met = new Map<number, { readonly value: number; readonly sent: boolean }>();
    for (const { number, tool, value } of logs) {
      const now = held.value[channel * 128 + number]!;
      if (tool === 'toggle') {
        const on = (value & 1) === 1;
        const isOn = now !== UNSET && isSwitchOn(now);
        if (isOn !== on) this.#control(number, on ? 127 : 0);
      } else if (tool === 'value') {
        const other = number < 64 ? met.get(number ^ 32) : undefined;
        const isFine = (number & 32) !== 0;
        const isBehind = held.stale[channel * 32 + (number & 31)] === (isFine ? 0 : 1);
        const fine = isFine ? value : (other?.value ?? 0);
        const again = other !== undefined && (other.sent || (!isBehind && fine > 0));
        const sent = now !== value || again;
        if (sent) this.#control(number, value);
        met.set(number, { value, sent });
      }
    }
  }

  #parameter(log: ParameterLog): void {
    const { parameters } = this.#memory.held;
    const { msb, lsb, steps = 0 } = log;
    const row = parameters.find(this.#key(log));
    const [hasMsb, hasLsb, hasSteps] =
      row < 0 ? [UNSET, UNSET, 0] : [parameters.msb[row]!, parameters.lsb[row]!, parameters.steps[row]!];
    const sameData = (msb ?? hasMsb) === hasMsb && (lsb ?? hasLsb) === hasLsb;
    if (sameData && steps === hasSteps) return;
    this.#select(log);
    const again = !sameData || Math.sign(steps) * (steps - hasSteps) < 0;
    if (again && msb !== undefined) this.#control(Cc.dataEntry, msb);
    if (again && lsb !== undefined) this.#control(Cc.dataEntryFine, lsb);
    const from = again && (msb !== undefined || lsb !== undefined) ? 0 : hasSteps;
    for (let held = from; held < steps; held += 1) this.#control(Cc.dataIncrement, 0);
    for (let held = from; held > steps; held -= 1) this.#control(Cc.dataDecrement, 0);
  }

  /** Chooses a parameter for data entry (MIDI 1.0, p. 17). */
  #select(log: ParameterLog): void {
    if (this.#isSelected(log)) return;
    const high = log.isNonRegistered ? Cc.nrpn : Cc.rpn;
    this.#control(high, log.number >> 7);
    this.#control(high - 1, log.number & 127);
  }

  /** Null in both halves (RPN 7F 7F): data entry goes nowhere. */
  #selectNone(): void {
    if (this.#memory.held.selection(this.#journal.channel) === NO_PARAMETER) return;
    this.#control(Cc.rpn, 127);
    this.#control(Cc.rpnFine, 127);
  }

  #isSelected(log: ParameterLog): boolean {
    return this.#memory.held.selection(this.#journal.channel) === this.#key(log);
  }

  #key({ isNonRegistered, number }: ParameterLog): number {
    return parameterKey(this.#journal.channel, isNonRegistered, number);
  }

  #control(controller: number, value: number): void {
    this.#send(0xb0, controller, value);
  }

  #send(status: number, ...data: number[]): void {
    this.#emit(Uint8Array.of(status | this.#journal.channel, ...data));
  }
}

const RELEASE_VELOCITY = 64;

/** A half never sent counts as 0, as the journal has it. */
function half(value: number): number {
  return value === UNSET ? 0 : value;
}
