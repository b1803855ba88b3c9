import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { VoicesInUse } from '../../../src/screen/scene/voices-in-use.ts';
import type { SongView } from '../../../src/screen/state/song-view.ts';

const SMALL: Instrument = { ...GENERAL_MIDI, voices: 3, releaseMicros: 500_000 };

function counting(...instruments: readonly Instrument[]) {
  const observed = createObservedState();
  const orchestra = Array.from({ length: 16 }, (_, channel) => instruments[channel % instruments.length]!);
  const voices = new VoicesInUse({ orchestra } as unknown as SongView);
  return {
    strike: (channel: number, key: number, micros: number) => {
      observed.strikes[channel * 128 + key] = 1;
      observed.onsetMicros[channel * 128 + key] = micros;
    },
    release: (channel: number, key: number) => {
      observed.strikes[channel * 128 + key] = 0;
    },
    at: (micros: number) => voices.count(observed, micros),
  };
}

describe('voices in use', () => {
  test('keys that sound and keys that die away, each as long as the instrument says', () => {
    const keys = counting({ ...SMALL, full: 'oldest' });
    for (const key of [60, 64, 67]) keys.strike(0, key, 1);
    expect(keys.at(1000)).toEqual({ used: 3, there: 3, free: 0 });
    for (const key of [60, 64, 67]) keys.release(0, key);
    keys.strike(0, 72, 2000);
    expect(keys.at(2000)).toEqual({ used: 4, there: 3, free: -1 });
    expect(keys.at(502_000)).toEqual({ used: 1, there: 3, free: 2 });
  });

  test('where released notes are taken first, what dies away never takes more than there is', () => {
    const keys = counting({ ...SMALL, full: 'released' });
    for (const key of [60, 64, 67]) keys.strike(0, key, 1);
    expect(keys.at(1000).used).toBe(3);
    for (const key of [60, 64, 67]) keys.release(0, key);
    keys.strike(0, 72, 2000);
    expect(keys.at(2000)).toEqual({ used: 3, there: 3, free: 0 });
    for (const key of [73, 74, 75]) keys.strike(0, key, 3000);
    expect(keys.at(3000)).toEqual({ used: 4, there: 3, free: -1 });
  });

  test('of two instruments the fuller one is told, however idle the other is', () => {
    const keys = counting(SMALL, { ...SMALL, voices: 20 });
    for (const key of [60, 62, 64, 65]) keys.strike(0, key, 1);
    expect(keys.at(1000)).toEqual({ used: 4, there: 23, free: -1 });
  });
});
