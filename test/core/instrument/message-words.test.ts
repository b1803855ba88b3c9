import { describe, expect, it } from 'vitest';
import {
  describeMessage,
  describeOnChannel,
  describeSysEx,
} from '../../../src/core/instrument/message-words.ts';
import { bytesOf } from '../../support/stream-log.ts';

// Names: MIDI 1.0 tables I–VI, General MIDI Level 1 sound set and percussion map.

describe('a message in words', () => {
  it.each([
    ['90 3C 60', 'channel 1: note on C4, velocity 96'],
    ['92 3C 00', 'channel 3: note off C4 (velocity 0)'],
    ['99 24 60', 'channel 10: note on Bass Drum 1, velocity 96'],
    ['99 00 60', 'channel 10: note on C-1, velocity 96'],
    ['80 3C 40', 'channel 1: note off C4, velocity 64'],
    ['B0 07 64', 'channel 1: Channel Volume 100'],
    ['C0 05 00', 'channel 1: program 6 Electric Piano 2'],
    ['C9 08 00', 'channel 10: program 9'],
    ['E0 00 40', 'channel 1: pitch bend centre'],
    ['EF 00 00', 'channel 16: pitch bend −8192'],
    ['E1 7F 7F', 'channel 2: pitch bend +8191'],
    ['A0 3C 05', 'channel 1: key pressure C4, 5'],
    ['A9 24 05', 'channel 10: key pressure Bass Drum 1, 5'],
    ['D1 07 00', 'channel 2: channel pressure 7'],
    ['90 3C 01', 'channel 1: note on C4, velocity 1'],
    ['CF 7F 00', 'channel 16: program 128 Gunshot'],
    ['E0 01 40', 'channel 1: pitch bend +1'],
    ['E0 7F 3F', 'channel 1: pitch bend −1'],
    ['F1 0F 00', 'quarter frame: frame low 15'],
    ['F1 75 00', 'quarter frame: hour high and rate 5'],
    ['F2 7F 7F', 'song position 16383'],
    ['F3 04 00', 'song select 5'],
    ['F6 00 00', 'Tune Request'],
    ['FF 00 00', 'System Reset'],
    ['7F 00 00', 'data'],
    ['F1 23 00', 'quarter frame: second low 3'],
    ['F2 0A 00', 'song position 10'],
    ['F8 00 00', 'Timing Clock'],
  ])('%s: %s', (hex, words) => {
    const [status, data1, data2] = bytesOf(hex);
    expect(describeOnChannel(status!, data1!, data2!)).toBe(words);
  });

  it('has words for every status', () => {
    for (let status = 0; status < 256; status += 1) expect(describeMessage(status, 0, 0)).toMatch(/^\S.*\S$/);
  });

  it('tells what a SysEx is', () => {
    expect(describeSysEx(bytesOf('F0 7E 7F 09 01 F7'))).toBe('General MIDI System On, 6 bytes');
    expect(describeSysEx(bytesOf('90 3C F0 7E 7F 09 01 F7 F8'), 2, 6)).toBe(
      'General MIDI System On, 6 bytes',
    );
    expect(describeSysEx(bytesOf('90 3C F0 7E 7F 09 01 F7'), 2)).toBe('General MIDI System On, 6 bytes');
  });
});
