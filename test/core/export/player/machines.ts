import type { PlayerMachine } from '../../../../src/core/export/player/player-machine.ts';

/** Machines of no one in particular: a song starts at an odd place, and what sends a byte is a port, or an address. */
export const Z80: PlayerMachine = {
  cpu: 'z80',
  clockHz: 2_000_000,
  from: 0x41c7,
  to: 0xf000,
  out: 0x10,
  repeat: false,
};
export const M6502: PlayerMachine = {
  ...Z80,
  cpu: '6502',
  clockHz: 1_000_000,
  out: 0xf810,
  zeroPage: 0xe0,
};
