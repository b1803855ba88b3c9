import * as z from 'zod';
import { PAGE_0_BYTES_6502, type PlayerBit } from '../core/export/player/player-machine.ts';
import { readToml } from '../files/toml/read-toml.ts';

const address = z.number().int().min(0).max(0xffff);
const port = z.number().int().min(0).max(255);
const bit = { mask: z.number().int().min(1).max(255), low: z.boolean().default(false) };
const bitSchema = z.union([z.strictObject({ port, ...bit }), z.strictObject({ address, ...bit })]);

/** What a small machine is, as its file says it. Names of the file's own are kept (docs/prepare.md). */
const boardSchema = z.strictObject({
  cpu: z.enum(['z80', '6502']),
  'clock-hz': z.number().int().min(500_000).max(8_000_000),
  ram: z.strictObject({ from: address, to: z.number().int().min(1).max(0x1_0000) }),
  out: z.union([z.strictObject({ port }), z.strictObject({ address })]),
  ready: bitSchema.optional(),
  stop: bitSchema.optional(),
  'zero-page': z.number().int().min(0).max(0xf0).optional(),
  'tape-baud': z.union([z.literal(300), z.literal(1200)]).default(1200),
  'hex-record': z.number().int().min(1).max(255).default(32),
});

export interface Board {
  readonly file: string;
  readonly cpu: 'z80' | '6502';
  readonly clockHz: number;
  readonly from: number;
  readonly to: number;
  /** Port (Z80) or address (6502) that a byte is written to. */
  readonly out: number;
  /** A bit that says that the next byte may be written; absent: the player counts cycles. */
  readonly ready?: PlayerBit;
  /** A key that ends the song; absent: none. */
  readonly stop?: PlayerBit;
  /** First of the bytes in page 0 that a 6502 player uses, and gives back as they were. */
  readonly zeroPage: number;
  readonly tapeBaud: 300 | 1200;
  readonly hexRecordBytes: number;
}

/** Where no other place in page 0 is given. */
const ZERO_PAGE = 0xe0;
/** Stack and page 0 of a 6502 lie below. */
const STACK_6502 = 0x100;
const FIRST_FREE_6502 = 0x200;
const MOST_HZ_6502 = 4_000_000;

/** @throws {Refusal} with file and line, for what is no board or one that the player cannot play on */
export function readBoard(file: string): Board {
  const { value, refusal } = readToml(file, boardSchema);
  const is6502 = value.cpu === '6502';
  const placed = (name: 'out' | 'ready' | 'stop'): number => {
    const place = value[name]!;
    const mask = name === 'out' ? '' : ', mask = 0x01';
    if (is6502 && 'address' in place) return place.address;
    if (!is6502 && 'port' in place) return place.port;
    if (is6502)
      throw refusal(
        [name],
        'this processor has no ports, only addresses',
        `write ${name} = { address = 0xC010${mask} }`,
      );
    throw refusal([name], 'this processor writes to a port', `write ${name} = { port = 0x10${mask} }`);
  };
  const bitOf = (name: 'ready' | 'stop'): PlayerBit | undefined => {
    const one = value[name];
    return one === undefined ? undefined : { at: placed(name), mask: one.mask, isLow: one.low };
  };
  const out = placed('out');
  const ready = bitOf('ready');
  const stop = bitOf('stop');
  if (is6502 && value['clock-hz'] > MOST_HZ_6502)
    throw refusal(['clock-hz'], 'the player of this processor counts up to 4 MHz', 'give 4_000_000 or less');
  if (!is6502 && value['zero-page'] !== undefined)
    throw refusal(['zero-page'], 'this processor needs no page 0', 'leave the line out');
  if (value.ram.to <= value.ram.from)
    throw refusal(
      ['ram'],
      'the memory ends before it begins',
      'give the first free address and the first that is not',
    );
  if (is6502 && value.ram.from < FIRST_FREE_6502)
    throw refusal(['ram'], 'page 0 and the stack of this processor lie there', 'begin at 0x200 or behind it');
  const zeroPage = value['zero-page'] ?? ZERO_PAGE;
  const taken = [
    [value.ram.from, value.ram.to, 'in the memory of the song'],
    [zeroPage, zeroPage + PAGE_0_BYTES_6502, 'in the bytes of page 0 that the player uses'],
    [STACK_6502, FIRST_FREE_6502, 'in the stack of this processor'],
  ] as const;
  for (const [name, at] of [
    ['out', out] as const,
    ['ready', ready?.at] as const,
    ['stop', stop?.at] as const,
  ])
    for (const [from, to, where] of taken)
      if (is6502 && at !== undefined && at >= from && at < to)
        throw refusal([name], `this address lies ${where}`, 'give the one that is wired to it');
  if (ready && stop && ready.at === stop.at && (ready.mask & stop.mask) !== 0)
    throw refusal(
      ['stop'],
      'the ready bit is among these bits: the song would stop itself',
      'give the key a bit of its own',
    );
  return {
    file,
    cpu: value.cpu,
    clockHz: value['clock-hz'],
    from: value.ram.from,
    to: value.ram.to,
    out,
    ...(ready && { ready }),
    ...(stop && { stop }),
    zeroPage,
    tapeBaud: value['tape-baud'],
    hexRecordBytes: value['hex-record'],
  };
}
