import { Z80 } from 'z80-emulator';

/** A Z80 with 64 KB of memory, for tests (npm `z80-emulator`). Times in T-states. */
export class Z80Machine {
  readonly ram = new Uint8Array(0x1_0000);
  readonly cpu: Z80;
  /** What the machine does when a port is read or written; the port is its low byte. */
  readPort: (port: number, cycle: number) => number = () => 0xff;
  writePort: (port: number, value: number, cycle: number) => void = () => {};
  /** Told of every write to memory, after it. */
  wrote: (address: number, value: number) => void = () => {};
  #hal;

  constructor() {
    const machine = this;
    this.#hal = {
      tStateCount: 0,
      readMemory: (address: number) => machine.ram[address]!,
      writeMemory(address: number, value: number) {
        machine.ram[address] = value;
        machine.wrote(address, value);
      },
      contendMemory() {},
      contendPort() {},
      readPort: (address: number) => machine.readPort(address & 0xff, machine.cycle),
      writePort: (address: number, value: number) => machine.writePort(address & 0xff, value, machine.cycle),
    };
    this.cpu = new Z80(this.#hal);
    this.cpu.reset();
  }

  get cycle(): number {
    return this.#hal.tStateCount;
  }

  get pc(): number {
    return this.cpu.regs.pc;
  }

  /** Begins as if `from` had been called with the stack at `stack`. @returns where it will return to */
  call(from: number, stack: number, returnTo: number): void {
    this.cpu.regs.pc = from;
    this.cpu.regs.sp = stack - 2;
    this.ram[stack - 2] = returnTo & 0xff;
    this.ram[stack - 1] = returnTo >> 8;
  }

  step(): void {
    this.cpu.step();
  }

  /** As if rounds of a loop had been gone through that count B up and change nothing else. */
  countUp(rounds: number, roundCycles: number): void {
    const { regs } = this.cpu;
    regs.b = (regs.b + rounds) & 0xff;
    this.#hal.tStateCount += rounds * roundCycles;
  }
}
