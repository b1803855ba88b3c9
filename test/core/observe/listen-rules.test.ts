import { describe, expect, it } from 'vitest';
import { ActiveSensing } from '../../../src/core/midi/active-sensing.ts';
import { ClockTempo } from '../../../src/core/observe/clock-tempo.ts';
import {
  createListenState,
  FAULTS_KEPT,
  faultCounts,
  faultsSince,
  foldFault,
  Heard,
} from '../../../src/core/observe/listen-state.ts';

describe('Active Sensing (MIDI 1.0, p. 32)', () => {
  it('judges only after the first FE, beyond 330 ms, by any byte, once', () => {
    const sensing = new ActiveSensing();
    sensing.heard(0);
    expect(sensing.expired(10_000_000)).toBe(false);
    sensing.sensed(1_000_000);
    expect(sensing.expired(1_330_000)).toBe(false);
    expect(sensing.expired(1_330_001)).toBe(true);
    expect(sensing.expired(9_000_000)).toBe(false); // back to normal until the next FE
    sensing.sensed(10_000_000);
    sensing.heard(10_300_000);
    expect(sensing.expired(10_600_000)).toBe(false);
    expect(sensing.expired(10_630_001)).toBe(true);
  });
});

describe('tempo by MIDI clock, 24 a quarter note (p. 30)', () => {
  it.each([40, 120, 240])('%i beats a minute', (bpm) => {
    const tempo = new ClockTempo();
    let told = 0;
    for (let pulse = 0; pulse < 50; pulse += 1) told = tempo.pulse((pulse * 60e6) / bpm / 24);
    expect(told).toBeCloseTo(bpm, 6);
  });
  it('is not thrown by jitter of a millisecond, follows a change within a quarter note, and forgets a pause', () => {
    const tempo = new ClockTempo();
    let at = 0;
    let told = 0;
    for (let pulse = 0; pulse < 48; pulse += 1) {
      at += 20_833;
      told = tempo.pulse(at + (pulse % 2) * 1000);
    }
    expect(Math.abs(told - 120)).toBeLessThan(0.5);
    for (let pulse = 0; pulse < 25; pulse += 1) {
      at += 25_000;
      told = tempo.pulse(at);
    }
    expect(told).toBeCloseTo(100, 6);
    expect(tempo.silentAt(at + 299_000)).toBe(false);
    expect(tempo.silentAt(at + 301_000)).toBe(true);
    expect(tempo.pulse(at + 1_000_000)).toBe(0);
  });
});

describe('faults in shared memory', () => {
  it('keeps the latest with place, time and bytes, and counts all', () => {
    const state = createListenState();
    for (let i = 0; i < 100; i += 1)
      foldFault(state, (i % 3) as 0 | 1 | 2, i * 10, 1 + (i % 2), 0x41, 0x42, i);
    const other = createListenState(state.buffer);
    expect(other.numbers[Heard.faults]).toBe(100);
    expect(faultCounts(other)).toEqual([34, 33, 33, 0, 0, 0]);
    const kept = faultsSince(other, 0);
    expect(kept).toHaveLength(FAULTS_KEPT);
    expect(kept[0]).toEqual({ kind: 0, offset: 360, micros: 36, bytes: [0x41] });
    expect(faultsSince(other, 99)).toEqual([{ kind: 0, offset: 990, micros: 99, bytes: [0x41, 0x42] }]);
  });
});
