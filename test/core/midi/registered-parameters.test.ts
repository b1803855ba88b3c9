import { describe, expect, it } from 'vitest';
import {
  REGISTERED_PARAMETERS,
  registeredParameter,
  registeredParameterName,
} from '../../../src/core/midi/registered-parameters.ts';

describe('registered parameters (MIDI 1.0 Detailed Specification 4.2.1, Table IIIa; 00 05: GM2)', () => {
  it.each([
    [0, 0, 'Pitch Bend Sensitivity', 'coarse-and-fine'],
    [0, 1, 'Fine Tuning', 'coarse-and-fine'],
    [0, 2, 'Coarse Tuning', 'coarse'],
    [0, 3, 'Tuning Program Select', 'coarse'],
    [0, 4, 'Tuning Bank Select', 'coarse'],
    [0, 5, 'Modulation Depth Range', 'coarse-and-fine'],
    [127, 127, 'Null', 'none'],
  ])('%i/%i is %s', (coarse, fine, name, entry) => {
    expect(registeredParameter(coarse, fine)).toEqual({ coarse, fine, name, entry });
  });

  it('has no others', () => {
    expect(REGISTERED_PARAMETERS).toHaveLength(7);
    expect(registeredParameter(1, 0)).toBeUndefined();
    expect(registeredParameterName(1, 0)).toBe('RPN 1/0');
  });
});
