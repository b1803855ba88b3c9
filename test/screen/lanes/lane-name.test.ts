import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import { soundName } from '../../../src/core/instrument/sound-names.ts';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { laneName, laneProgram, soundingNames } from '../../../src/screen/lanes/lane-name.ts';
import { hex } from '../../support/hex.ts';

function seen(...messages: string[]) {
  const observed = createObservedState();
  for (const text of messages) {
    const [status, data1 = 0, data2 = 0] = hex(text);
    foldMessage(observed, status!, data1, data2, new Float64Array(3));
  }
  return observed;
}

describe('what plays on a lane', () => {
  test('nothing, while nothing was sent', () => {
    expect(laneName(seen(), 0, GENERAL_MIDI)).toBe('');
    expect(laneName(seen(), 9, GENERAL_MIDI)).toBe('');
    expect(laneProgram(seen(), 0)).toBeUndefined();
  });

  test('the program seen; the first one is a program like any other', () => {
    expect(laneProgram(seen('C0 00'), 0)).toBe(0);
    expect(laneName(seen('C0 13'), 0, GENERAL_MIDI)).toBe('Church Organ');
    expect(laneName(seen('C0 00'), 0, GENERAL_MIDI)).toBe('Acoustic Grand Piano');
  });

  test('the person’s own choice goes before it, the first program too', () => {
    const observed = seen('C0 13');
    observed.programOverride[0] = 0;
    expect(laneProgram(observed, 0)).toBe(0);
    expect(laneName(observed, 0, GENERAL_MIDI)).toBe('Acoustic Grand Piano');
    observed.programOverride[0] = -1;
    expect(laneProgram(observed, 0)).toBe(19);
  });

  test('a kit on channel 10, also where no program was sent; a program of that number elsewhere', () => {
    expect(laneName(seen('99 26 40'), 9, GENERAL_MIDI)).toBe(laneName(seen('C9 00'), 9, GENERAL_MIDI));
    expect(laneName(seen('99 26 40'), 9, GENERAL_MIDI)).not.toBe('');
    expect(laneName(seen('C8 00'), 8, GENERAL_MIDI)).toBe('Acoustic Grand Piano');
  });

  test('no program: said where there are notes, sent or held back, and nowhere else', () => {
    expect(laneName(seen('90 3C 40'), 0, GENERAL_MIDI)).toBe('(no program sent)');
    expect(laneName(seen('B0 7B 00'), 0, GENERAL_MIDI)).toBe('');
    const held = seen('B0 7B 00');
    held.heldBack[0] = 1;
    expect(laneName(held, 0, GENERAL_MIDI)).toBe('(no program sent)');
  });
});

describe('the sounding keys', () => {
  test('from the lowest up, as many as fit whole', () => {
    const observed = seen('91 43 40', '91 3C 40', '91 40 40', '92 30 40');
    const [c, e, g] = [60, 64, 67].map((key) => soundName(GENERAL_MIDI, 1, key));
    expect(soundingNames(observed, 1, 40, GENERAL_MIDI)).toBe(`${c} ${e} ${g}`);
    expect(soundingNames(observed, 1, `${c} ${e} ${g}`.length, GENERAL_MIDI)).toBe(`${c} ${e} ${g}`);
    expect(soundingNames(observed, 1, `${c} ${e} ${g}`.length - 1, GENERAL_MIDI)).toBe(`${c} ${e}`);
    expect(soundingNames(observed, 1, 1, GENERAL_MIDI)).toBe('');
    expect(soundingNames(observed, 3, 40, GENERAL_MIDI)).toBe('');
  });

  test('the lowest and the highest key', () => {
    expect(soundingNames(seen('90 00 01', '90 7F 01'), 0, 40, GENERAL_MIDI)).toBe(
      `${soundName(GENERAL_MIDI, 0, 0)} ${soundName(GENERAL_MIDI, 0, 127)}`,
    );
  });

  test('percussion by its sound, with a comma between; a key without one by its pitch (GM1, key map)', () => {
    const observed = seen('99 26 40', '99 24 40');
    expect(soundingNames(observed, 9, 60, GENERAL_MIDI)).toBe('Bass Drum 1, Acoustic Snare');
    expect(soundName(GENERAL_MIDI, 9, 0)).toBe(soundName(GENERAL_MIDI, 0, 0));
    expect(soundName(GENERAL_MIDI, 0, 38)).not.toBe(soundName(GENERAL_MIDI, 9, 38));
  });
});
