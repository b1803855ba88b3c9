import { expect, test } from 'vitest';
import { RunningStatus } from '../../../src/core/wire/running-status.ts';

/** Bytes that each message takes; before each the cost is asked, which must change nothing and be the same. */
function bytesOf(
  runningStatus: 'ours' | 'device',
  ...messages: [micros: number, status: number][]
): number[] {
  const running = new RunningStatus(runningStatus);
  return messages.map(([micros, status]) => {
    const at = Float64Array.of(-1, micros);
    const cost = running.cost(status, 3, at, 1);
    expect(running.send(status, 3, at, 1)).toBe(cost);
    return cost;
  });
}

test('a status is left out while the receiver holds it, for two seconds from when it was last told', () => {
  expect(
    bytesOf('ours', [0, 0x90], [0, 0x90], [1_999_999, 0x90], [2_000_000, 0x90], [3_999_999, 0x90]),
  ).toEqual([3, 2, 2, 3, 2]);
});

test('nothing is left out where the interface encodes for itself', () => {
  expect(bytesOf('device', [0, 0x90], [0, 0x90])).toEqual([3, 3]);
});

test('what is held: channel statuses; none after F0–F7 and FF; F8–FE change nothing', () => {
  const running = new RunningStatus('ours');
  const at = new Float64Array(1);
  const heldAfter = (status: number) => {
    running.send(0x93, 3, at, 0);
    running.send(status, 3, at, 0);
    return running.held;
  };
  expect([0x80, 0x93, 0xef].map(heldAfter)).toEqual([0x80, 0x93, 0xef]);
  expect([0xf0, 0xf3, 0xf7, 0xff].map(heldAfter)).toEqual([0, 0, 0, 0]);
  expect([0xf8, 0xfe].map(heldAfter)).toEqual([0x93, 0x93]);
  running.forget();
  expect(running.held).toBe(0);
  expect(running.send(0x93, 3, at, 0)).toBe(3);
});
