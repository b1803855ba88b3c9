import { expect, test } from 'vitest';
import { MessageTally } from '../../../src/core/compare/message-tally.ts';

type Message = readonly [status: number, data1: number, data2: number];

function tallyOf(messages: readonly Message[], isOfChannel = false): MessageTally {
  const tally = new MessageTally();
  for (const message of messages) {
    if (isOfChannel) tally.addChannel(...message);
    else tally.add(...message);
  }
  return tally;
}

test('what both have is shared, as often as the one that has less of it', () => {
  const one = tallyOf([
    [0x90, 60, 64],
    [0x90, 60, 64],
    [0x90, 60, 64],
    [0xb0, 7, 1],
    [0x91, 1, 2],
  ]);
  const other = tallyOf([
    [0x90, 60, 64],
    [0x90, 60, 64],
    [0xb0, 7, 2],
    [0xb0, 7, 1],
    [0xb1, 7, 1],
  ]);
  expect([one.count, other.count, one.shared(other), other.shared(one)]).toEqual([5, 5, 3, 3]);
  expect(one.shared(new MessageTally())).toBe(0);
});

test('both data bytes tell, to their last values', () => {
  const corners: Message[] = [0, 127].flatMap((data1) =>
    [0, 127].map((data2): Message => [0x90, data1, data2]),
  );
  for (const one of corners)
    for (const other of corners) {
      expect(tallyOf([one]).shared(tallyOf([other]))).toBe(one === other ? 1 : 0);
    }
  // 1 · 128 and 128 are not one.
  expect(tallyOf([[0x90, 1, 0]]).shared(tallyOf([[0x90, 0, 1]]))).toBe(0);
});

test('programs and pressure have one data byte (MIDI 1.0, Table II): they are not among the long ones', () => {
  const all: Message[] = [0x80, 0x90, 0xa0, 0xb0, 0xc0, 0xd0, 0xe0, 0xcf, 0xdf, 0xef].map((status) => [
    status,
    5,
    6,
  ]);
  expect(tallyOf(all).sharedLong(tallyOf(all))).toBe(6);
  expect(tallyOf(all).shared(tallyOf(all))).toBe(10);
});

test('a release is one, however it is written and however fast', () => {
  const releases: Message[] = [
    [0x82, 60, 0],
    [0x82, 60, 90],
    [0x92, 60, 0],
  ];
  const tally = tallyOf(releases, true);
  expect(
    tally.shared(
      tallyOf([
        [0x82, 60, 0],
        [0x82, 60, 0],
        [0x82, 60, 0],
      ]),
    ),
  ).toBe(3);
  // A strike is none, nor is a controller of value 0; the channel counts.
  const others: Message[] = [
    [0x92, 60, 1],
    [0xb2, 60, 0],
    [0xe2, 60, 0],
  ];
  expect(tallyOf(others, true).shared(tallyOf(others))).toBe(3);
  expect(tallyOf(others, true).shared(tally)).toBe(0);
  expect(tally.shared(tallyOf([[0x83, 60, 0]]))).toBe(0);
});
