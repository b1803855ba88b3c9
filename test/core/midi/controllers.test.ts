import { describe, expect, it } from 'vitest';
import { Cc, CONTROLLERS, controllerName, isSwitchOn } from '../../../src/core/midi/controllers.ts';

/** Numbers MIDI 1.0 4.2.1 leaves undefined (Table III), less 88, which CA-031 (2010) defined. */
const UNDEFINED = [3, 9, 14, 15, ...range(20, 31), 85, 86, 87, 89, 90, ...range(102, 119)];

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from + 1 }, (_, i) => from + i);
}

describe('the table of controllers (MIDI 1.0 Detailed Specification 4.2.1, Tables III and IV)', () => {
  it('is whole: 128 numbers in order, each with a name of its own', () => {
    expect(CONTROLLERS.map((controller) => controller.number)).toEqual(range(0, 127));
    expect(new Set(CONTROLLERS.map((controller) => controller.name)).size).toBe(128);
  });

  it('leaves undefined what the standard does, and the fine halves of it', () => {
    const fineHalves = UNDEFINED.filter((number) => number < 32).map((number) => number + 32);
    const found = CONTROLLERS.filter(({ kind }) => kind === 'undefined').map(({ number }) => number);
    expect(found).toEqual([...UNDEFINED, ...fineHalves].sort((a, b) => a - b));
  });

  it.each([
    [0, 'Bank Select'],
    [1, 'Modulation'],
    [7, 'Channel Volume'],
    [10, 'Pan'],
    [11, 'Expression'],
    [32, 'Bank Select Fine'],
    [38, 'Data Entry Fine'],
    [64, 'Damper Pedal'],
    [66, 'Sostenuto'],
    [74, 'Brightness'],
    [91, 'Reverb Send'],
    [93, 'Chorus Send'],
    [101, 'RPN'],
    [120, 'All Sound Off'],
    [121, 'Reset All Controllers'],
    [123, 'All Notes Off'],
    [127, 'Poly On'],
    [3, 'Controller 3'],
  ])('%i is %s', (number, name) => {
    expect(controllerName(number)).toBe(name);
  });

  it('pairs coarse and fine 32 apart', () => {
    for (const { number, kind, name } of CONTROLLERS.slice(0, 32)) {
      const fine = CONTROLLERS[number + 32]!;
      if (kind === 'coarse')
        expect(fine).toEqual({ number: number + 32, name: `${name} Fine`, kind: 'fine' });
      else expect(fine.kind).toBe('undefined');
    }
  });

  it('counts 120 to 127 as channel mode messages', () => {
    const modes = CONTROLLERS.filter(({ kind }) => kind === 'mode').map(({ number }) => number);
    expect(modes).toEqual(range(120, 127));
  });

  it('switches at 64 (p. 12)', () => {
    expect([0, 63, 64, 127].map(isSwitchOn)).toEqual([false, false, true, true]);
  });

  it('gives the names in code their numbers', () => {
    // Table III: what each name in code is called there, and the number that has this name.
    const CALLED: Readonly<Record<string, string>> = {
      dataIncrement: 'Data Increment',
      velocityPrefix: 'High-Resolution Velocity Prefix',
      volume: 'Channel Volume',
      damper: 'Damper Pedal',
      portamento: 'Portamento On/Off',
      soft: 'Soft Pedal',
      legato: 'Legato Footswitch',
      nrpn: 'NRPN',
      nrpnFine: 'NRPN Fine',
      rpn: 'RPN',
      rpnFine: 'RPN Fine',
    };
    for (const [name, number] of Object.entries(Cc)) {
      const words = name.replace(/[A-Z0-9]/g, ' $&').replace(/^./, (letter) => letter.toUpperCase());
      expect(controllerName(number), name).toBe(CALLED[name] ?? words);
    }
    expect(Object.values(Cc)).toEqual([...Object.values(Cc)].sort((a, b) => a - b));
  });

  it('has a name for a number there is not', () => {
    expect(controllerName(128)).toBe('Controller 128');
  });
});
