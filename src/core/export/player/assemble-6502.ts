import type { Assembled } from './assemble-z80.ts';

/** Operations without an operand. */
const IMPLIED: Readonly<Record<string, number>> = {
  php: 0x08,
  plp: 0x28,
  pha: 0x48,
  pla: 0x68,
  rts: 0x60,
  sei: 0x78,
  cld: 0xd8,
  clc: 0x18,
  sec: 0x38,
  tax: 0xaa,
  txa: 0x8a,
  tay: 0xa8,
  tya: 0x98,
  tsx: 0xba,
  txs: 0x9a,
  inx: 0xe8,
  iny: 0xc8,
  dex: 0xca,
  nop: 0xea,
};
const BRANCHES: Readonly<Record<string, number>> = {
  bpl: 0x10,
  bmi: 0x30,
  bcc: 0x90,
  bcs: 0xb0,
  bne: 0xd0,
  beq: 0xf0,
};
/** Codes by form: `#` a value, `z` page 0, `a` an address, `zx`, `ay` indexed, `y` through page 0. */
const FORMS: Readonly<Record<string, Readonly<Partial<Record<Form, number>>>>> = {
  lda: { '#': 0xa9, z: 0xa5, a: 0xad, zx: 0xb5, ay: 0xb9, y: 0xb1 },
  ldx: { '#': 0xa2, z: 0xa6, a: 0xae },
  ldy: { '#': 0xa0, z: 0xa4 },
  sta: { z: 0x85, a: 0x8d, zx: 0x95 },
  stx: { z: 0x86, a: 0x8e },
  sty: { z: 0x84 },
  adc: { '#': 0x69, z: 0x65 },
  sbc: { '#': 0xe9, z: 0xe5 },
  cmp: { '#': 0xc9, z: 0xc5 },
  cpx: { '#': 0xe0, z: 0xe4 },
  and: { '#': 0x29, z: 0x25 },
  eor: { '#': 0x49 },
  ora: { z: 0x05 },
  bit: { z: 0x24 },
  inc: { z: 0xe6 },
  dec: { z: 0xc6 },
  ror: { z: 0x66 },
  jmp: { a: 0x4c },
  jsr: { a: 0x20 },
};
type Form = '#' | 'z' | 'a' | 'zx' | 'ay' | 'y';

export interface Assembled6502 extends Assembled {
  /** Where each branch is, and where it leads. */
  readonly branches: readonly (readonly [at: number, target: number])[];
}

/** A branch whose target lies in another page than what follows it: taken, it costs a cycle more. */
export function crossesPage([at, target]: readonly [at: number, target: number]): boolean {
  return (at + 2) >> 8 !== target >> 8;
}

/**
 * Assembles the instructions our player is made of; the syntax is the common one, so that another assembler reads the
 * same source (a test does so with ca65). Names that begin with `ZP` are in page 0. @param symbols values of the names
 * that the source leaves open @throws {Error} for a line that is none: a mistake of ours
 */
export function assemble6502(
  source: string,
  origin: number,
  symbols: Readonly<Record<string, number>>,
): Assembled6502 {
  const lines = source.split('\n').map((line) => {
    const [, label, text] = /^(?:(\w+):)?\s*(.*)$/.exec(line.replace(/;.*/, '').trimEnd())!;
    return { label, text: text!.trim() };
  });
  const labels = new Map<string, number>();
  const numberOf = (word: string): number => {
    const sum = /^(\w+)\+(\d+)$/.exec(word);
    if (sum !== null) return numberOf(sum[1]!) + Number(sum[2]);
    const number = Number(word.replace('$', '0x'));
    const value = Number.isNaN(number) ? (labels.get(word) ?? symbols[word]) : number;
    if (value === undefined) throw new Error(`the player's source names ${word}, which is nowhere`);
    return value;
  };
  let bytes: number[] = [];
  let branches: (readonly [number, number])[] = [];
  // The first pass finds the labels: no instruction changes its length by what it names.
  for (const find of [(word: string) => (/^[a-z]/i.test(word) ? origin : numberOf(word)), numberOf]) {
    bytes = [];
    branches = [];
    for (const { label, text } of lines) {
      const at = origin + bytes.length;
      if (label !== undefined) labels.set(label, at);
      if (text === '') continue;
      const [name, operand = ''] = text.split(/\s+/, 2) as [string, string?];
      const branch = BRANCHES[name];
      if (branch === undefined) bytes.push(...encode(name, operand, find));
      else {
        const target = find(operand);
        branches.push([at, target]);
        bytes.push(branch, (target - at - 2) & 0xff);
        if (find === numberOf && Math.abs(target - at - 2) > 127)
          throw new Error(`the player's source has a branch too far: ${text}`);
      }
    }
  }
  return { bytes: Uint8Array.from(bytes), labels, branches };
}

function encode(name: string, operand: string, numberOf: (word: string) => number): readonly number[] {
  if (name === '.res') return Array.from({ length: Number(operand) }, () => 0);
  if (operand === 'a' && name === 'asl') return [0x0a];
  if (operand === 'a' && name === 'lsr') return [0x4a];
  if (operand === 'a' && name === 'rol') return [0x2a];
  if (operand === '' && IMPLIED[name] !== undefined) return [IMPLIED[name]];
  const [, sign, through, word, index] = /^(#?)(\(?)([\w+$]+)\)?(,[xy])?$/.exec(operand) ?? [];
  const isLow = word?.startsWith('ZP') ?? false;
  const form = (
    sign === '#' ? '#' : through === '(' ? 'y' : `${isLow ? 'z' : 'a'}${index?.slice(1) ?? ''}`
  ) as Form;
  const code = FORMS[name]?.[form];
  if (word === undefined || code === undefined)
    throw new Error(`the player's source has a line that is no instruction: ${name} ${operand}`);
  const value = numberOf(word);
  return form === 'a' || form === 'ay' ? [code, value & 0xff, (value >> 8) & 0xff] : [code, value & 0xff];
}
