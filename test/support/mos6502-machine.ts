import mos6502 from 'mos6502';

interface Insides {
  pc: number;
  x: number;
  cycle: number;
  emulate(): { cycle: number };
  getProcessorStatus: unknown;
}

/** A 6502 with 64 KB of memory, for tests (npm `mos6502`). */
export class Mos6502Machine {
  readonly ram = new Uint8Array(0x1_0000);
  cycle = 0;
  /** What the machine does when an address is read or written; by itself both are memory. */
  read: (address: number, cycle: number) => number | undefined = () => undefined;
  wrote: (address: number, value: number) => void = () => {};
  /** The emulator keeps these to itself; a test must see where the program is. */
  readonly #cpu: Insides;

  constructor() {
    const cpu = new Emulator(
      (address: number) => this.read(address & 0xffff, this.cycle) ?? this.ram[address & 0xffff]!,
      (address: number, value: number) => {
        this.ram[address & 0xffff] = value;
        this.wrote(address & 0xffff, value);
      },
    );
    this.#cpu = cpu as unknown as Insides;
    // It would write every instruction out as text, which is more work than to do it.
    this.#cpu.getProcessorStatus = () => null;
  }

  get pc(): number {
    return this.#cpu.pc;
  }

  begin(from: number): void {
    this.#cpu.cycle = 0;
    this.#cpu.pc = from;
  }

  /** One whole instruction; the emulator is asked clock by clock, and all but the first do nothing. */
  step(): void {
    this.cycle += this.#cpu.emulate().cycle + 1;
    this.#cpu.cycle = 0;
  }

  /** As if rounds of a loop had been gone through that count X up and change nothing else. */
  countUp(rounds: number, roundCycles: number): void {
    this.#cpu.x = (this.#cpu.x + rounds) & 0xff;
    this.cycle += rounds * roundCycles;
  }
}

/** The package is CommonJS: its default is one level down for some who load it. */
const Emulator = ((mos6502 as unknown as { default?: typeof mos6502 }).default ?? mos6502) as typeof mos6502;
