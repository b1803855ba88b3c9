import { describe, expect, it } from 'vitest';
import { ActiveSensing } from '../../../src/core/midi/active-sensing.ts';

describe('Active Sensing (MIDI 1.0, p. 32)', () => {
  it('does not watch before the first FE, however long the silence', () => {
    const sensing = new ActiveSensing();
    sensing.heard(1000);
    expect([sensing.armed, sensing.heardMicros, sensing.expired(9_000_000)]).toEqual([false, 1000, false]);
  });

  it('tells once of a silence beyond 330 ms, then watches no more until the next FE', () => {
    const sensing = new ActiveSensing();
    sensing.sensed(1000);
    expect([sensing.armed, sensing.heardMicros]).toEqual([true, 1000]);
    expect(sensing.expired(331_000)).toBe(false);
    expect(sensing.expired(331_001)).toBe(true);
    expect(sensing.armed).toBe(false);
    expect(sensing.expired(900_000)).toBe(false);
    sensing.sensed(1_000_000);
    expect(sensing.expired(1_330_001)).toBe(true);
  });

  it('takes any byte for a sign of life', () => {
    const sensing = new ActiveSensing();
    sensing.sensed(0);
    sensing.heard(300_000);
    expect([sensing.expired(630_000), sensing.expired(630_001)]).toEqual([false, true]);
  });
});
