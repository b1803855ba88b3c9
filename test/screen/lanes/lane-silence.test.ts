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

  test('General MIDI plays every lane', () => {
    for (let channel = 0; channel < 16; channel += 1) expect(why(channel, {})).toBeUndefined();
  });
});
