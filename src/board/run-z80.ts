import type { PlayerImage } from '../core/export/player/make-image.ts';
import { Z80_UNIT_CYCLES } from '../core/export/player/z80-paths.ts';
import { EmulatedDevices, type EmulatedMachine, type EmulatedRun } from './emulated-run.ts';

/** Rounds of a waiting loop that are gone through one by one at its end; those before are counted at once. */
const ROUNDS_SHOWN = 4;

/**
 * Runs an image from its start to its return in an emulator that counts cycles (npm `z80-emulator`). The inner
 * rounds of a waiting loop change nothing but HL and the count, and are added up: a song of minutes is run in a second.
 * @returns undefined where the emulator is not installed
 */
export async function runZ80(image: PlayerImage, machine: EmulatedMachine): Promise<EmulatedRun | undefined> {
  const emulator = await import('z80-emulator').catch(() => undefined);
  if (emulator === undefined) return undefined;
  const ram = new Uint8Array(0x1_0000);
  ram.set(image.bytes, image.loadAddress);
  const end = image.loadAddress + image.bytes.length;
  /** Where the player returns to: outside of all that it may read. */
  const returnTo = end & 0xffff;
  const { codeEnd } = image;
  const stackFrom = machine.to - machine.stackBytes;
  const devices = new EmulatedDevices(machine);
  let strayWrites = 0;
  let strayReads = 0;
  const isStack = (address: number) => address >= stackFrom && address < machine.to;
  const hal = {
    tStateCount: 0,
    readMemory(address: number) {
      if (!(address >= image.loadAddress && address < end) && !isStack(address)) strayReads += 1;
      return ram[address]!;
    },
    writeMemory(address: number, value: number) {
      if (!isStack(address) && !(address >= image.loadAddress && address < codeEnd)) strayWrites += 1;
      ram[address] = value;
    },
    contendMemory() {},
    contendPort() {},
    readPort: (address: number) => devices.read(address & 0xff, hal.tStateCount) ?? 0xff,
    writePort(address: number, value: number) {
      if ((address & 0xff) !== machine.out) strayWrites += 1;
      devices.take(value, hal.tStateCount);
    },
  };
  const cpu = new emulator.Z80(hal);
  cpu.reset();
  cpu.regs.pc = image.startAddress;
  cpu.regs.sp = machine.to - 2;
  ram[machine.to - 2] = returnTo & 0xff;
  ram[machine.to - 1] = returnTo >> 8;
  const [first = -1, second = -1] = image.waitingLoops;
  while (cpu.regs.pc !== returnTo) {
    const { pc, hl } = cpu.regs;
    if ((pc === first || pc === second) && hl > ROUNDS_SHOWN && hl < 0x8000) {
      hal.tStateCount += (hl - ROUNDS_SHOWN) * Z80_UNIT_CYCLES;
      cpu.regs.hl = ROUNDS_SHOWN;
    }
    cpu.step();
    if (strayWrites > 0 || devices.isOver(hal.tStateCount)) break;
  }
  return {
    bytes: Uint8Array.from(devices.bytes),
    cycles: Float64Array.from(devices.cycles),
    strayWrites,
    strayReads,
    returned: cpu.regs.pc === returnTo,
  };
}
