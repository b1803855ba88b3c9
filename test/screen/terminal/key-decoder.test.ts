import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { KeyDecoder, type TerminalInput } from '../../../src/screen/terminal/key-decoder.ts';

const bytesOf = (text: string) => Buffer.from(text.replaceAll('E', '\u001b'), 'utf8');

function told(inputs: TerminalInput[]): string {
  return inputs
    .map((input) => {
      if (input.kind === 'key') return input.key.name;
      if (input.kind === 'paste') return `paste<${input.text}>`;
      if (input.kind === 'mouse') return `${input.mouse.button}@${input.mouse.x},${input.mouse.y}`;
      return `report ${input.parameters.join(',')}${input.letters}`;
    })
    .join(' ');
}

function decode(text: string): string {
  const decoder = new KeyDecoder();
  return told([...decoder.decode(bytesOf(text)), ...(decoder.patienceMillis > 0 ? decoder.flush() : [])]);
}

describe('keys (xterm control sequences, VT220, Linux console; E stands for ESC)', () => {
  it.each([
    ['aM7 +', 'a M 7 space +'],
    ['é日😀', 'é 日 😀'],
    ['\u0001\u0003\u001a', 'ctrl-a ctrl-c ctrl-z'],
    ['\t\r\n\u007f\b', 'tab enter ctrl-j backspace backspace'],
    ['E[AE[BE[CE[D', 'up down right left'],
    ['EOAEOBEOCEOD', 'up down right left'],
    ['E[HE[FE[1~E[4~E[7~E[8~', 'home end home end home end'],
    ['E[2~E[3~E[5~E[6~', 'insert delete page-up page-down'],
    ['EOPEOQEORES'.slice(0, 9), 'f1 f2 f3'],
    ['E[11~E[15~E[17~E[24~', 'f1 f5 f6 f12'],
    ['E[[AE[[D', 'f1 f4'],
    ['E[1;2AE[1;5CE[1;3DE[5;5~E[1;8B', 'shift-up ctrl-right alt-left ctrl-page-up ctrl-alt-shift-down'],
    ['E[Z', 'shift-tab'],
    ['ExE1E ', 'alt-x alt-1 alt-space'],
    ['Eé', 'alt-é'],
    ['E', 'escape'],
    ['EE', 'alt-escape'],
    ['EE[A', 'alt-up'],
    ['E[', 'alt-['],
    ['EO', 'alt-O'],
    ['E\u0003', 'ctrl-alt-c'],
  ])('%j is %s', (bytes, keys) => {
    expect(decode(bytes)).toBe(keys);
  });

  it('type their text only without ctrl or alt', () => {
    const inputs = new KeyDecoder().decode(bytesOf('a Exé'));
    expect(inputs.map((input) => (input.kind === 'key' ? input.key.text : ''))).toEqual(['a', ' ', '', 'é']);
  });
});

describe('the mouse (xterm control sequences, SGR mode 1006: cells from 1, M pressed, m let go)', () => {
  it.each([
    ['E[<0;1;1M', 'left@0,0'],
    ['E[<0;10;5ME[<0;10;5m', 'left@9,4'],
    ['E[<2;300;120M', 'right@299,119'],
    ['E[<64;7;8ME[<65;7;8M', 'wheel-up@6,7 wheel-down@6,7'],
    ['E[<4;3;3ME[<8;3;3ME[<16;3;3ME[<28;3;3M', 'left@2,2 left@2,2 left@2,2 left@2,2'],
    ['E[<1;3;3M', ''],
    ['E[<32;3;3ME[<35;3;3M', ''],
    ['E[<66;3;3ME[<128;3;3M', ''],
    ['E[<0;0;3ME[<0;3ME[<M', ''],
    ['mE[<0;3;4Mm', 'm left@2,3 m'],
  ])('%j is %s', (bytes, presses) => {
    expect(decode(bytes)).toBe(presses);
  });
});

describe('what is no key', () => {
  it.each([
    ['E[<0;10;5ma', 'a'],
    ['E[Ia', 'a'],
    ['E[?1;2Qa', 'a'],
    ['E]11;rgb:0000/0000/0000\u0007a', 'a'],
    ['EP1$r0mE\\a', 'a'],
    ['E[99~a', 'a'],
    [`E[${'1;'.repeat(40)}a`, ''],
  ])('%j leaves %s', (bytes, keys) => {
    if (keys === '') expect(decode(bytes)).not.toContain('up');
    else expect(decode(bytes)).toBe(keys);
  });

  it('answers to our questions are reports', () => {
    expect(decode('E[0nE[?2026;2$ya')).toBe('report 0n report 2026,2$y a');
  });

  it('that come just behind the escape key leave it what it is', () => {
    expect(decode('EE[0n')).toBe('escape report 0n');
  });

  it('invalid UTF-8 is dropped', () => {
    const decoder = new KeyDecoder();
    // Overlong slash, a lone continuation, a surrogate, beyond 10FFFF, a C1 control, a cut character before b.
    const bytes = [
      0xc0, 0xaf, 0x80, 0xed, 0xa0, 0x80, 0xf4, 0x90, 0x80, 0x80, 0xc2, 0x9b, 0x61, 0xe6, 0x97, 0x62,
    ];
    expect(told(decoder.decode(Uint8Array.from(bytes)))).toBe('a b');
  });
});

describe('pasted text', () => {
  it('comes whole and presses no key', () => {
    expect(decode('aE[200~q\u0003E[Aü\rE[201~b')).toBe('a paste<q\u0003\u001b[Aü\r> b');
  });

  it('without an end is over when the time for more is over', () => {
    const decoder = new KeyDecoder();
    expect(decoder.decode(bytesOf('E[200~abc'))).toEqual([]);
    expect(decoder.patienceMillis).toBeGreaterThan(1000);
    expect(told(decoder.flush())).toBe('paste<abc>');
    expect(told(decoder.decode(bytesOf('d')))).toBe('d');
  });

  it('is cut at its limit, and the keys behind it are keys again', () => {
    const decoder = new KeyDecoder();
    const [paste, key] = decoder.decode(bytesOf(`E[200~${'x'.repeat(100_000)}E[201~k`));
    expect(paste).toEqual({ kind: 'paste', text: 'x'.repeat(4096) });
    expect(key).toMatchObject({ key: { name: 'k' } });
  });
});

describe('any cut of the bytes', () => {
  const pieces = [
    'a',
    'é',
    '日',
    '😀',
    'E[A',
    'E[1;5C',
    'EOP',
    'E[200~p E[A pE[201~',
    'E[0n',
    'Ex',
    '\u0003',
    'E[5~',
  ];
  it('gives the same keys', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...pieces)), fc.array(fc.nat({ max: 60 })), (parts, cuts) => {
        const bytes = bytesOf(parts.join(''));
        const decoder = new KeyDecoder();
        const places = [0, ...cuts.filter((cut) => cut < bytes.length).sort((a, b) => a - b), bytes.length];
        const cut = places.flatMap((place, at) =>
          decoder.decode(bytes.subarray(place, places[at + 1] ?? place)),
        );
        expect(told(cut)).toBe(told(new KeyDecoder().decode(bytes)));
      }),
    );
  });

  it('of any bytes at all never throws, and afterwards a key is a key', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
        const decoder = new KeyDecoder();
        decoder.decode(bytes);
        decoder.decode(bytesOf('E[201~'));
        decoder.flush();
        expect(told(decoder.decode(bytesOf('q')))).toBe('q');
      }),
    );
  });
});
