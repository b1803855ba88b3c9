import { describe, expect, it } from 'vitest';
import { KEY_NAMES, keyName, keySignatureName } from '../../../src/core/midi/key-names.ts';

describe('names of keys', () => {
  // Middle C = 60: MIDI 1.0, p. 10. C4 for it: SMF 1.1, Appendix 2, whose example names C3 48, C4 60, G4 67, E5 76.
  it.each([
    [0, 'C-1'],
    [48, 'C3'],
    [60, 'C4'],
    [61, 'C#4'],
    [67, 'G4'],
    [69, 'A4'],
    [76, 'E5'],
    [127, 'G9'],
  ])('%i is %s', (key, name) => {
    expect(keyName(key)).toBe(name);
  });

  it('has 128 different ones', () => {
    expect(new Set(KEY_NAMES).size).toBe(128);
  });
});

describe('names of key signatures (SMF 1.1, section 3.1: 0 is C, −7 seven flats, 7 seven sharps)', () => {
  it.each([
    [0, false, 'C major'],
    [0, true, 'A minor'],
    [-3, false, 'Eb major'],
    [-3, true, 'C minor'],
    [2, false, 'D major'],
    [7, false, 'C# major'],
    [-7, true, 'Ab minor'],
    [9, false, 'key signature 9'],
  ])('%i, minor %s', (sharps, minor, name) => {
    expect(keySignatureName(sharps, minor)).toBe(name);
  });

  // A fifth up adds a sharp; a relative minor lies three half-steps below: both are arithmetic, not a table.
  it('follow the circle of fifths', () => {
    const pitch = (name: string): number =>
      ('C D EF G A B'.indexOf(name[0]!) + (name[1] === '#' ? 1 : name[1] === 'b' ? -1 : 0) + 12) % 12;
    for (let sharps = -7; sharps <= 7; sharps++) {
      expect(pitch(keySignatureName(sharps, false))).toBe((((sharps * 7) % 12) + 12) % 12);
      expect(pitch(keySignatureName(sharps, true))).toBe((((sharps * 7 - 3) % 12) + 12) % 12);
    }
  });
});
