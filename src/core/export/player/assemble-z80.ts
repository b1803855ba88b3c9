/** Bytes of a program, and where its labels are. */
export interface Assembled {
  readonly bytes: Uint8Array;
  readonly labels: ReadonlyMap<string, number>;
}

const PAIRS = ['bc', 'de', 'hl', 'sp'];
const REGISTERS = ['b', 'c', 'd', 'e', 'h', 'l', '(hl)', 'a'];
const CONDITIONS = ['nz', 'z', 'nc', 'c', 'po', 'pe', 'p', 'm'];
/** Instructions without a value. `*` is a word, `#` a byte, `@` a relative place. */
const FIXED: Readonly<Record<string, readonly number[]>> = {
  nop: [0x00],
  cpl: [0x2f],
  'xor a': [0xaf],
  exx: [0xd9],
  ret: [0xc9],
  'ex de,hl': [0xeb],
  "ex af,af'": [0x08],
  scf: [0x37],
  rra: [0x1f],
  'rl b': [0xcb, 0x10],
  'ld a,(de)': [0x1a],
  'sbc hl,de': [0xed, 0x52],
  'sbc hl,bc': [0xed, 0x42],
  'bit 7,h': [0xcb, 0x7c],
};
const WITH_VALUE: readonly (readonly [RegExp, readonly number[], 'word' | 'byte' | 'relative'])[] = [
  [/^ld sp,\((.+)\)$/, [0xed, 0x7b], 'word'],
  [/^ld a,\((?!hl)(.+)\)$/, [0x3a], 'word'],
  [/^ld \((.+)\),a$/, [0x32], 'word'],
  [/^ld \((.+)\),sp$/, [0xed, 0x73], 'word'],
  [/^ld \((.+)\),de$/, [0xed, 0x53], 'word'],
  [/^out \((.+)\),a$/, [0xd3], 'byte'],
  [/^in a,\((.+)\)$/, [0xdb], 'byte'],
  [/^djnz (.+)$/, [0x10], 'relative'],
  [/^cp (.+)$/, [0xfe], 'byte'],
  [/^sub (.+)$/, [0xd6], 'byte'],
  [/^and (.+)$/, [0xe6], 'byte'],
];

/**
 * Assembles the instructions our player is made of; the syntax is the common one, so that another assembler reads
 * the same source (the tests do so). @param symbols values of the names that the source leaves open
 * @throws {Error} for a line that is none: a mistake of ours
 */
export function assembleZ80(
  source: string,
  origin: number,
  symbols: Readonly<Record<string, number>>,
): Assembled {
  const lines = source
    .split('\n')
    .map((line) => /^(?:(\w+):)?\s*(.*)$/.exec(line.replace(/;.*/, '').trimEnd())!)
    .map(([, label, text]) => ({ label, text: text!.trim() }));
  const labels = new Map<string, number>();
  const numberOf = (word: string): number => {
    const sum = /^(\w+)\+(\d+)$/.exec(word);
    if (sum !== null) return numberOf(sum[1]!) + Number(sum[2]);
    const number = Number(word);
    const value = Number.isNaN(number) ? (labels.get(word) ?? symbols[word]) : number;
    if (value === undefined) throw new Error(`the player's source names ${word}, which is nowhere`);
    return value;
  };
  let bytes: number[] = [];
  // The first pass finds the labels: no instruction changes its length by what it names.
  for (const find of [(word: string) => (/[a-z]/i.test(word) ? origin : numberOf(word)), numberOf]) {
    bytes = [];
    for (const { label, text } of lines) {
      if (label !== undefined) labels.set(label, origin + bytes.length);
      if (text !== '') bytes.push(...encode(text, origin + bytes.length, find));
    }
  }
  return { bytes: Uint8Array.from(bytes), labels };
}

function encode(text: string, at: number, numberOf: (word: string) => number): readonly number[] {
  const fixed = FIXED[text];
  if (fixed !== undefined) return fixed;
  const [name, rest = ''] = text.split(' ', 2) as [string, string?];
  const [first = '', second] = rest.split(',');
  const word = (value: string) => [numberOf(value) & 0xff, (numberOf(value) >> 8) & 0xff];
  const pair = PAIRS.indexOf(first);
  const register = REGISTERS.indexOf(first);
  if ((name === 'push' || name === 'pop') && pair >= 0)
    return [(name === 'push' ? 0xc5 : 0xc1) | (pair << 4)];
  if (name === 'add' && first === 'hl') return [0x09 | (PAIRS.indexOf(second!) << 4)];
  if (name === 'add' && first === 'a') return second === 'a' ? [0x87] : [0xc6, numberOf(second!) & 0xff];
  if (name === 'inc' || name === 'dec') {
    const isInc = name === 'inc';
    if (pair >= 0) return [(isInc ? 0x03 : 0x0b) | (pair << 4)];
    return [(isInc ? 0x04 : 0x05) | (register << 3)];
  }
  if (name === 'or') return [0xb0 | register];
  if (name === 'jp' && second === undefined) return [0xc3, ...word(first)];
  if (name === 'jp') return [0xc2 | (CONDITIONS.indexOf(first) << 3), ...word(second!)];
  if (name === 'ret') return [0xc0 | (CONDITIONS.indexOf(first) << 3)];
  if (name === 'jr' && second === undefined) return [0x18, relative(numberOf(first), at)];
  for (const [form, code, kind] of WITH_VALUE) {
    const value = form.exec(text)?.[1];
    if (value === undefined) continue;
    if (kind === 'word') return [...code, ...word(value)];
    return [...code, kind === 'byte' ? numberOf(value) & 0xff : relative(numberOf(value), at)];
  }
  if (name === 'ld' && pair >= 0) return [0x01 | (pair << 4), ...word(second!)];
  const from = REGISTERS.indexOf(second ?? '');
  if (name === 'ld' && register >= 0 && from >= 0) return [0x40 | (register << 3) | from];
  if (name === 'ld' && register >= 0) return [0x06 | (register << 3), numberOf(second!) & 0xff];
  throw new Error(`the player's source has a line that is no instruction: ${text}`);
}

function relative(target: number, at: number): number {
  return (target - at - 2) & 0xff;
}
