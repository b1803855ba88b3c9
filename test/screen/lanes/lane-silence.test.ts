import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { soloOrchestra } from '../../../src/core/instrument/orchestra.ts';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { whySilent } from '../../../src/screen/lanes/lane-silence.ts';
import { hex } from '../../support/hex.ts';

function seen(...messages: string[]) {
  const observed = createObservedState();
  for (const text of messages) {
    const [status, data1 = 0, data2 = 0] = hex(text);
    foldMessage(observed, status!, data1, data2, new Float64Array(3));
  }
  return observed;
}

const why = (channel: number, instrument: Partial<Instrument>, ...messages: string[]) =>
  whySilent(seen(...messages), channel, soloOrchestra({ ...GENERAL_MIDI, ...instrument }));

describe('why an instrument cannot play a lane', () => {
  test('it does not hear the channel', () => {
    expect(why(4, { channels: [0, 1] })).toBe('not heard');
    expect(why(1, { channels: [0, 1] })).toBeUndefined();
  });

  test('it has no part left; channels of one program share a part, drums take none', () => {
    const three = ['C0 05', '90 3C 40', 'C1 06', '91 3C 40', 'C2 07', '92 3C 40', '99 26 40'];
    expect(why(1, { parts: 2 }, ...three)).toBeUndefined();
    expect(why(2, { parts: 2 }, ...three)).toBe('no part left');
    expect(why(9, { parts: 2 }, ...three)).toBeUndefined();
    expect(why(2, { parts: 2 }, ...three.map((text) => text.replace('C2 07', 'C2 06')))).toBeUndefined();
  });

  test('one program of two banks is two parts, and a channel that is not heard takes none', () => {
    const banks = ['B0 00 01', 'C0 05', '90 3C 40', 'B1 00 02', 'C1 05', '91 3C 40'];
    expect(why(1, { parts: 1 }, ...banks)).toBe('no part left');
    const fine = ['B0 20 01', 'C0 05', '90 3C 40', 'B1 20 02', 'C1 05', '91 3C 40'];
    expect(why(1, { parts: 1 }, ...fine)).toBe('no part left');
    expect(
      why(
        1,
        { parts: 1 },
        ...banks.slice(0, 3),
        ...fine.slice(3).map((text) => text.replace('20 02', '00 01')),
      ),
    ).toBeUndefined();
    expect(why(1, { parts: 1, channels: [1, 2] }, ...banks)).toBeUndefined();
    expect(why(1, { parts: 1 }, ...banks.slice(3), 'C2 06', '92 3C 40')).toBeUndefined();
  });

  test('another instrument beside it takes none of its parts', () => {
    const one: Instrument = { ...GENERAL_MIDI, parts: 1 };
    const other: Instrument = { ...one, name: 'other' };
    const orchestra = soloOrchestra(one).map((instrument, channel) => (channel === 0 ? other : instrument));
    expect(whySilent(seen('C0 05', '90 3C 40', 'C1 06', '91 3C 40'), 1, orchestra)).toBeUndefined();
    expect(whySilent(seen('C1 05', '91 3C 40', 'C2 06', '92 3C 40'), 2, orchestra)).toBe('no part left');
  });

  test('General MIDI plays every lane', () => {
    for (let channel = 0; channel < 16; channel += 1) expect(why(channel, {})).toBeUndefined();
  });
});
