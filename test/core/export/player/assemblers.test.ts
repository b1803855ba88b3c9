import { describe, expect, test } from 'vitest';
import { assemble6502, crossesPage } from '../../../../src/core/export/player/assemble-6502.ts';
import { assembleZ80 } from '../../../../src/core/export/player/assemble-z80.ts';
import { place6502 } from '../../../../src/core/export/player/place-6502.ts';
import { hexOf } from '../../../support/stream-log.ts';

const NAMES = { WORD: 0x1234, BYTE: 0xab, ZP_PLACE: 0x42 };

describe('Z80: the codes of Zilog’s Z80 CPU User Manual (UM0080; from memory)', () => {
  test.each([
    ['nop', '00'],
    ['cpl', '2F'],
    ['xor a', 'AF'],
    ['exx', 'D9'],
    ['ret', 'C9'],
    ['ex de,hl', 'EB'],
    ["ex af,af'", '08'],
    ['scf', '37'],
    ['rra', '1F'],
    ['rl b', 'CB 10'],
    ['ld a,(de)', '1A'],
    ['sbc hl,de', 'ED 52'],
    ['sbc hl,bc', 'ED 42'],
    ['bit 7,h', 'CB 7C'],
    ['ld sp,(WORD)', 'ED 7B 34 12'],
    ['ld a,(WORD)', '3A 34 12'],
    ['ld (WORD),a', '32 34 12'],
    ['ld (WORD),sp', 'ED 73 34 12'],
    ['ld (WORD),de', 'ED 53 34 12'],
    ['out (BYTE),a', 'D3 AB'],
    ['in a,(BYTE)', 'DB AB'],
    ['cp BYTE', 'FE AB'],
    ['sub BYTE', 'D6 AB'],
    ['and BYTE', 'E6 AB'],
    ['push bc', 'C5'],
    ['push de', 'D5'],
    ['push hl', 'E5'],
    ['pop bc', 'C1'],
    ['pop de', 'D1'],
    ['pop hl', 'E1'],
    ['add hl,bc', '09'],
    ['add hl,de', '19'],
    ['add hl,hl', '29'],
    ['add hl,sp', '39'],
    ['add a,a', '87'],
    ['add a,BYTE', 'C6 AB'],
    ['inc bc', '03'],
    ['inc hl', '23'],
    ['dec bc', '0B'],
    ['dec sp', '3B'],
    ['inc b', '04'],
    ['inc a', '3C'],
    ['dec c', '0D'],
    ['dec (hl)', '35'],
    ['or b', 'B0'],
    ['or (hl)', 'B6'],
    ['jp WORD', 'C3 34 12'],
    ['jp nz,WORD', 'C2 34 12'],
    ['jp z,WORD', 'CA 34 12'],
    ['jp nc,WORD', 'D2 34 12'],
    ['jp c,WORD', 'DA 34 12'],
    ['jp p,WORD', 'F2 34 12'],
    ['jp m,WORD', 'FA 34 12'],
    ['ret nz', 'C0'],
    ['ret m', 'F8'],
    ['ld bc,WORD', '01 34 12'],
    ['ld hl,WORD+2', '21 36 12'],
    ['ld sp,WORD', '31 34 12'],
    ['ld a,(hl)', '7E'],
    ['ld (hl),b', '70'],
    ['ld b,c', '41'],
    ['ld e,7', '1E 07'],
    ['ld a,BYTE', '3E AB'],
  ])('%s', (text, code) => {
    expect(hexOf(assembleZ80(`        ${text} ; told`, 0x8000, NAMES).bytes)).toBe(code);
  });

  test('jumps are counted from behind themselves, back and forth; labels stand where they are', () => {
    const source = ['start: nop', 'back: djnz back', ' jr on', ' djnz back', 'on: jp back+1'].join('\n');
    const { bytes, labels } = assembleZ80(source, 0x8000, {});
    expect(hexOf(bytes)).toBe('00 10 FE 18 02 10 FA C3 02 80');
    expect([...labels]).toEqual([
      ['start', 0x8000],
      ['back', 0x8001],
      ['on', 0x8007],
    ]);
  });

  test('what is no instruction, and what is nowhere, is a mistake of ours', () => {
    expect(() => assembleZ80('halt 7', 0, {})).toThrow('no instruction: halt 7');
    expect(() => assembleZ80(' jp away', 0, {})).toThrow('names away, which is nowhere');
  });
});

describe('6502: the codes of the MCS6500 family’s programming manual (appendix B; from memory)', () => {
  test.each([
    ['php', '08'],
    ['plp', '28'],
    ['pha', '48'],
    ['pla', '68'],
    ['rts', '60'],
    ['sei', '78'],
    ['cld', 'D8'],
    ['clc', '18'],
    ['sec', '38'],
    ['tax', 'AA'],
    ['txa', '8A'],
    ['tay', 'A8'],
    ['tya', '98'],
    ['tsx', 'BA'],
    ['txs', '9A'],
    ['inx', 'E8'],
    ['iny', 'C8'],
    ['dex', 'CA'],
    ['nop', 'EA'],
    ['asl a', '0A'],
    ['lsr a', '4A'],
    ['rol a', '2A'],
    ['lda #BYTE', 'A9 AB'],
    ['lda ZP_PLACE', 'A5 42'],
    ['lda WORD', 'AD 34 12'],
    ['lda ZP_PLACE,x', 'B5 42'],
    ['lda WORD,y', 'B9 34 12'],
    ['lda (ZP_PLACE),y', 'B1 42'],
    ['ldx #$7f', 'A2 7F'],
    ['ldx ZP_PLACE', 'A6 42'],
    ['ldx WORD', 'AE 34 12'],
    ['ldy #3', 'A0 03'],
    ['ldy ZP_PLACE', 'A4 42'],
    ['sta ZP_PLACE', '85 42'],
    ['sta WORD', '8D 34 12'],
    ['sta ZP_PLACE,x', '95 42'],
    ['stx ZP_PLACE', '86 42'],
    ['stx WORD+1', '8E 35 12'],
    ['sty ZP_PLACE', '84 42'],
    ['adc #BYTE', '69 AB'],
    ['adc ZP_PLACE', '65 42'],
    ['sbc #BYTE', 'E9 AB'],
    ['sbc ZP_PLACE', 'E5 42'],
    ['cmp #BYTE', 'C9 AB'],
    ['cmp ZP_PLACE', 'C5 42'],
    ['cpx #BYTE', 'E0 AB'],
    ['cpx ZP_PLACE', 'E4 42'],
    ['and #BYTE', '29 AB'],
    ['and ZP_PLACE', '25 42'],
    ['eor #BYTE', '49 AB'],
    ['ora ZP_PLACE', '05 42'],
    ['bit ZP_PLACE', '24 42'],
    ['inc ZP_PLACE', 'E6 42'],
    ['dec ZP_PLACE+1', 'C6 43'],
    ['ror ZP_PLACE', '66 42'],
    ['jmp WORD', '4C 34 12'],
    ['jsr WORD', '20 34 12'],
    ['.res 3', '00 00 00'],
  ])('%s', (text, code) => {
    expect(hexOf(assemble6502(`        ${text} ; told`, 0x8000, NAMES).bytes)).toBe(code);
  });

  test('branches are counted from behind themselves, and told with where they lead', () => {
    const source = ['back: bpl back', ' bmi on', ' bcc on', ' bcs on', ' bne on', 'on: beq back'].join('\n');
    const { bytes, branches, labels } = assemble6502(source, 0x8000, {});
    expect(hexOf(bytes)).toBe('10 FE 30 06 90 04 B0 02 D0 00 F0 F4');
    expect(branches).toEqual([
      [0x8000, 0x8000],
      ...[0x8002, 0x8004, 0x8006, 0x8008].map((at) => [at, 0x800a]),
      [0x800a, 0x8000],
    ]);
    expect(labels.get('on')).toBe(0x800a);
  });

  test('a branch goes no farther than 127 bytes', () => {
    const far = (bytes: number) => () => assemble6502(` beq on\n .res ${bytes}\non: nop`, 0, {});
    expect(far(127)).not.toThrow();
    expect(far(128)).toThrow('a branch too far: beq on');
    expect(() => assemble6502(' lda', 0, {})).toThrow('no instruction: lda');
    expect(() => assemble6502(' eor ZP_PLACE', 0, NAMES)).toThrow('no instruction: eor ZP_PLACE');
    expect(() => assemble6502(' jmp away', 0, {})).toThrow('names away, which is nowhere');
  });

  test('a branch crosses a page where its target and what follows it lie in two', () => {
    const crosses = [
      [0x80fd, 0x80ff],
      [0x80fe, 0x80ff],
      [0x80fe, 0x8100],
      [0x80fd, 0x8100],
    ] as const;
    expect(crosses.map(crossesPage)).toEqual([false, true, false, true]);
  });
});

describe('blocks of a 6502’s source', () => {
  const block = (name: string, length: number) =>
    `${name}: bne ${name}\n .res ${length - 4}\n bne ${name}x\n${name}x: nop\n`.replace(/ \.res 0\n/, '');

  test('are put where no branch of theirs crosses a page, with as little room between as may be', () => {
    const source = [block('a', 100), block('b', 90), block('c', 120)].join('; block\n');
    for (const origin of [0x8000, 0x8010, 0x80a0, 0x80ff]) {
      const placed = place6502(source, origin);
      const { branches, bytes } = assemble6502(placed, origin, {});
      expect(branches.filter(crossesPage)).toEqual([]);
      const room = bytes.length - (100 + 90 + 120 + 3);
      expect(room).toBeGreaterThanOrEqual(0);
      expect(room).toBeLessThan(100);
    }
    // All within a page: as they stand, and no room.
    const short = [block('a', 10), block('b', 20)];
    expect(place6502(short.join('; block\n'), 0x8000)).toBe(short.join(''));
  });

  test('that cannot lie within one are a mistake of ours', () => {
    expect(() => place6502('a: nop\n .res 200\n bne a\n', 0)).toThrow();
  });
});
