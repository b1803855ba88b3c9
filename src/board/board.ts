import { z } from 'zod';
import { readToml } from '../files/toml/read-toml.ts';

const address = z.number().int().min(0).max(0xffff);

/** What a small machine is, as its file says it. Names of the file's own are kept (docs/prepare.md). */
const boardSchema = z.strictObject({
  cpu: z.enum(['z80', '6502']),
  'clock-hz': z.number().int().min(500_000).max(8_000_000),
  ram: z.strictObject({ from: address, to: z.number().int().min(1).max(0x1_0000) }),
  out: z.union([z.strictObject({ port: z.number().int().min(0).max(255) }), z.strictObject({ address })]),
  ready: z
    .strictObject({ port: z.number().int().min(0).max(255), mask: z.number().int().min(1).max(255) })
    .optional(),
  'tape-baud': z.union([z.literal(300), z.literal(1200)]).default(1200),
  'hex-record': z.number().int().min(1).max(255).default(32),
});

export interface Board {
  readonly file: string;
  readonly cpu: 'z80';
  readonly clockHz: number;
  readonly from: number;
  readonly to: number;
  readonly port: number;
  readonly tapeBaud: 300 | 1200;
  readonly hexRecordBytes: number;
}

/** @throws {Refusal} with file and line, for what is no board or one that the player cannot play on */
export function readBoard(file: string): Board {
  const { value, refusal } = readToml(file, boardSchema);
  if (value.cpu !== 'z80')
    throw refusal(['cpu'], 'there is no player for this processor yet', 'use a board with cpu = "z80"');
  if (value.ready !== undefined)
    throw refusal(['ready'], 'the player counts cycles and asks no ready bit yet', 'leave the line out');
  if (!('port' in value.out))
    throw refusal(['out'], 'this processor writes to a port', 'write out = { port = 0x10 }');
  if (value.ram.to <= value.ram.from)
    throw refusal(
      ['ram'],
      'the memory ends before it begins',
      'give the first free address and the first that is not',
    );
  return {
    file,
    cpu: value.cpu,
    clockHz: value['clock-hz'],
    from: value.ram.from,
    to: value.ram.to,
    port: value.out.port,
    tapeBaud: value['tape-baud'],
    hexRecordBytes: value['hex-record'],
  };
}
