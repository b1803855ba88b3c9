import { expect, test } from 'vitest';
import { packetWords } from '../../../src/core/report/packet-words.ts';

const NOTHING = {
  heard: 0,
  lost: 0,
  recovered: 0,
  reordered: 0,
  late: 0,
  foreign: 0,
  unreadable: 0,
  mended: 0,
};

test('what came, and only what of it did not come as it was sent', () => {
  expect(packetWords({ ...NOTHING, heard: 1 })).toBe('1 packet');
  expect(packetWords({ ...NOTHING, heard: 9, lost: 2, recovered: 1 })).toBe('9 packets, 2 lost, 1 recovered');
  expect(packetWords({ ...NOTHING, heard: 9, reordered: 3, late: 4, foreign: 5, unreadable: 6 })).toBe(
    '9 packets, 3 out of order, 4 too late, 5 of others, 6 unreadable',
  );
  const one = { lost: 1, reordered: 1, late: 1, foreign: 1, unreadable: 1, mended: 1 };
  expect(packetWords({ ...NOTHING, ...one })).toBe(
    '0 packets, 1 lost, 0 recovered, 1 out of order, 1 too late, 1 of others, 1 unreadable',
  );
});
