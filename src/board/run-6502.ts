import type { PlayerImage } from '../core/export/player/make-image.ts';
import { PAGE_0_BYTES_6502 } from '../core/export/player/player-machine.ts';
import { EmulatedDevices, type EmulatedMachine, type EmulatedRun } from './emulated-run.ts';

/** The registers that the emulator keeps to itself. */
interface Registers {
  pc: number;
  a: number;
  x: number;
  stkp: number;
  cycle: number;
  getProcessorStatus: unknown;
}

const STACK = 0x100;
/** Cycles of a round of the player's long wait, which counts A down, and of the short one, which counts X up to `GO`. */
const REST_CYCLES = 5;
const SPIN_CYCLES = 8;
const GO = 6;
/** Rounds of a wait that are gone through one by one at its end; those before are counted at once. */
const ROUNDS_SHOWN = 3;

/**
 * Runs an image from its start to its return in an emulator that counts cycles (npm `mos6502`). Inner rounds of its
 * waits change nothing but A or X, and are added up.
 * @returns undefined where the emulator is not installed
 */
export async function run6502(
  image: PlayerImage,
  machine: EmulatedMachine,
): Promise<EmulatedRun | undefined> {
  const emulator = await import('mos6502').catch(() => undefined);
  if (emulator === undefined) return undefined;
  // The package is CommonJS: its default export is inside Node's.
  const outer = emulator.default as unknown as { readonly default?: typeof emulator.default };
  const Mos6502 = outer.default ?? emulator.default;
  const ram = new Uint8Array(0x1_0000);
  ram.set(image.bytes, image.loadAddress);
  const end = image.loadAddress + image.bytes.length;
  const { codeEnd } = image;
  const zeroPage = machine.zeroPage ?? 0;
  const stackFrom = 2 * STACK - machine.stackBytes;
  const devices = new EmulatedDevices(machine);
  let cycle = 0;
  let strayWrites = 0;
  let strayReads = 0;
  const isOwn = (at: number) =>
    (at >= zeroPage && at < zeroPage + PAGE_0_BYTES_6502) || (at >= stackFrom && at < 2 * STACK);
  const read = (at: number) => {
    const answer = devices.read(at, cycle);
    if (answer !== undefined) return answer;
    if (!(at >= image.loadAddress && at < end) && !isOwn(at)) strayReads += 1;
    return ram[at]!;
  };
  const write = (at: number, value: number) => {
    if (at === machine.out) devices.take(value, cycle);
    else if (!isOwn(at) && !(at >= image.loadAddress && at < codeEnd)) strayWrites += 1;
    ram[at] = value;
  };
  const cpu = new Mos6502(read, write);
  const registers = cpu as unknown as Registers;
  // It would write every instruction out as text, which is more work than to do it.
  registers.getProcessorStatus = () => null;
  // As if called: the address behind is one less on the stack.
  const returnTo = end & 0xffff;
  ram[STACK + 0xff] = (returnTo - 1) >> 8;
  ram[STACK + 0xfe] = (returnTo - 1) & 0xff;
  registers.pc = image.startAddress;
  registers.stkp = 0xfd;
  registers.cycle = 0;
  strayReads = 0;
  const [rest = -1, spin = -1] = image.waitingLoops;
  const before = ram.slice(zeroPage, zeroPage + PAGE_0_BYTES_6502);
  while (registers.pc !== returnTo) {
    if (registers.pc === rest) {
      const rounds = Math.max(0, registers.a - ROUNDS_SHOWN);
      cycle += rounds * REST_CYCLES;
      registers.a -= rounds;
    } else if (registers.pc === spin) {
      const rounds = Math.max(0, ram[zeroPage + GO]! - registers.x - ROUNDS_SHOWN);
      cycle += rounds * SPIN_CYCLES;
      registers.x += rounds;
    }
    cycle += 1 + cpu.emulate().cycle;
    // The emulator is asked clock by clock, and all but the first do nothing.
    registers.cycle = 0;
    if (strayWrites > 0 || devices.isOver(cycle)) break;
  }
  // Page 0 belongs to the caller.
  const returned = registers.pc === returnTo;
  if (returned && before.some((value, at) => ram[zeroPage + at] !== value)) strayWrites += 1;
  return {
    bytes: Uint8Array.from(devices.bytes),
    cycles: Float64Array.from(devices.cycles),
    strayWrites,
    strayReads,
    returned,
  };
}
