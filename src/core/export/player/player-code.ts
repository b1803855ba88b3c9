import { PATHS_6502 } from './6502-paths.ts';
import { source6502 } from './6502-source.ts';
import { assemble6502 } from './assemble-6502.ts';
import { type Assembled, assembleZ80 } from './assemble-z80.ts';
import { place6502 } from './place-6502.ts';
import { PAGE_0_BYTES_6502, type PlayerMachine, slotUnitsOf } from './player-machine.ts';
import { Z80_PATHS } from './z80-paths.ts';
import { sourceZ80 } from './z80-source.ts';

type Names = Readonly<Record<string, number>>;

/** A player for one machine before it knows its song. */
export interface PlayerCode {
  readonly source: string;
  /** Names of the source that the machine alone decides. */
  readonly names: Names;
  assemble(names: Names): Assembled;
  /** Labels of its waiting loops. */
  readonly waits: readonly string[];
}

/** What the 6502 player keeps in page 0, from the machine's place there on. */
const PAGE_0 = {
  ZPSRC: 0,
  ZPGRID: 2,
  ZPLEFT: 4,
  ZPDEPTH: 5,
  ZPGO: 6,
  ZPT: 7,
  ZPU: 8,
  ZPV: 9,
  ZPN: 10,
  ZPARM: 11,
  ZPPART: 12,
} as const;

/** @param address where the source is assembled */
export function playerCodeFor(machine: PlayerMachine, address: number): PlayerCode {
  return machine.cpu === 'z80' ? codeZ80(machine, address) : code6502(machine, address);
}

function codeZ80(machine: PlayerMachine, address: number): PlayerCode {
  const source = sourceZ80(machine);
  const less = (units: number) => 0x1_0000 - units;
  const asking = machine.stop === undefined ? 0 : Z80_PATHS.stop;
  return {
    source,
    names: {
      PORT: machine.out,
      READY: machine.ready?.at ?? 0,
      STOP: machine.stop?.at ?? 0,
      SLOT: slotUnitsOf(machine),
      LESS_PLAIN: less(Z80_PATHS.plain + (machine.ready === undefined ? 0 : Z80_PATHS.ready)),
      LESS_TICK: less(0x100 + Z80_PATHS.tick + asking),
      LESS_OWING: less(Z80_PATHS.tickOwing + asking),
    },
    assemble: (names) => assembleZ80(source, address, names),
    waits: ['spin', 'rest'],
  };
}

function code6502(machine: PlayerMachine, address: number): PlayerCode {
  const source = place6502(source6502(machine), address);
  const page0 = Object.entries(PAGE_0).map(([name, at]) => [name, (machine.zeroPage ?? 0) + at] as const);
  return {
    source,
    names: {
      ...Object.fromEntries(page0),
      ZPEND: (machine.zeroPage ?? 0) + PAGE_0_BYTES_6502,
      ZPLESS: 0x100 - PAGE_0_BYTES_6502,
      ZPLAST: PAGE_0_BYTES_6502 - 1,
      OUT: machine.out,
      READY: machine.ready?.at ?? 0,
      STOP: machine.stop?.at ?? 0,
      SLOT: slotUnitsOf(machine),
      PLAIN: PATHS_6502.plain + (machine.ready === undefined ? 0 : PATHS_6502.ready),
      TICK: PATHS_6502.tick + (machine.stop === undefined ? 0 : PATHS_6502.stop),
    },
    assemble: (names) => assemble6502(source, address, names),
    waits: ['rest2', 'spin'],
  };
}
