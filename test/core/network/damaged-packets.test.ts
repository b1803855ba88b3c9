import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { JournalReader } from '../../../src/core/network/read-journal.ts';
import { readRtpPacket } from '../../../src/core/network/rtp-packet.ts';
import { RtpReceiver } from '../../../src/core/network/rtp-receiver.ts';
import { RtpSender } from '../../../src/core/network/rtp-sender.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** A packet with every chapter that we write, and commands of every kind. */
function fullPacket(): Uint8Array {
  const sender = new RtpSender({ sequence: 9, timestamp: 5, source: 77 });
  const add = (...bytes: number[]) => sender.add(Uint8Array.from(bytes), 1000);
  const say = () => {
    for (const channel of [0, 9]) {
      add(0xb0 | channel, 0, 1);
      add(0xc0 | channel, 5);
      add(0xb0 | channel, 101, 0);
      add(0xb0 | channel, 100, 0);
      add(0xb0 | channel, 6, 12);
      add(0xb0 | channel, 97, 0);
      add(0xb0 | channel, 123, 0);
      add(0xe0 | channel, 3, 60);
      add(0x90 | channel, 60, 100);
      add(0x90 | channel, 72, 90);
      add(0x80 | channel, 60, 64);
      add(0xd0 | channel, 30);
      add(0xa0 | channel, 72, 40);
    }
    add(0xf0, 0x7d, 1);
    add(2, 3);
    add(4, 0xf7);
    add(0xf8);
  };
  say();
  sender.packet(1000);
  say();
  return sender.packet(2000);
}

/** A receiver with a judge behind it. */
function judged() {
  const reader = new WireReader();
  const receiver = new RtpReceiver(
    { bytes: (bytes) => reader.read(bytes), begun: () => {}, gone: () => {} },
    0,
  );
  return { reader, receiver };
}

describe('damaged packets', () => {
  it('are read whole or not at all, wherever they are cut', () => {
    const packet = fullPacket();
    expect(readRtpPacket(packet, new JournalReader())?.journal?.channels).toHaveLength(2);
    const journals = new JournalReader();
    for (let length = 0; length < packet.length; length += 1)
      expect(readRtpPacket(packet.subarray(0, length), journals), `${length} bytes`).toBeUndefined();
  });

  it('never throw and never make a stream that a receiver trips over, whatever bytes come', () => {
    const packet = fullPacket();
    const damage = fc.array(fc.tuple(fc.nat(packet.length - 1), fc.nat(255)), { maxLength: 6 });
    const datagram = fc.oneof(
      damage.map((changes) => {
        const bytes = Uint8Array.from(packet);
        for (const [at, value] of changes) bytes[at] = value;
        return bytes;
      }),
      fc.uint8Array({ maxLength: 80 }),
      fc.uint8Array({ maxLength: 60 }).map((tail) => Uint8Array.of(...packet.subarray(0, 12), ...tail)),
    );
    fc.assert(
      fc.property(fc.array(fc.tuple(datagram, fc.nat(400_000)), { maxLength: 12 }), (list) => {
        const { reader, receiver } = judged();
        let now = 0;
        for (const [bytes, wait] of list) {
          now += wait;
          receiver.datagram(bytes, now);
        }
        for (let i = 0; i < 5000 && receiver.nextMicros < Number.POSITIVE_INFINITY; i += 1)
          receiver.run(receiver.nextMicros);
        expect(reader.faults.filter((fault) => fault !== 'SysEx ended by a status')).toEqual([]);
        expect(reader.sounding).toBe(0);
        expect(receiver.nextMicros).toBe(Number.POSITIVE_INFINITY);
      }),
      { numRuns: 300 },
    );
  });
});

describe('what became of packets', () => {
  it('is counted: heard, lost, recovered by the journal, out of order, twice', () => {
    const reader = new WireReader();
    const receiver = new RtpReceiver({ bytes: (bytes) => reader.read(bytes), begun() {}, gone() {} }, 20_000);
    const sender = new RtpSender({ sequence: 65_534, timestamp: 0, source: 1 });
    const packets = Array.from({ length: 7 }, (_, n) => {
      sender.add(Uint8Array.of(n % 2 === 0 ? 0x90 : 0x80, 60 + (n >> 1), 100), n * 1000);
      return sender.packet(n * 1000);
    });
    // The fourth, a note-off, never comes; the third comes behind the fifth, the sixth twice.
    for (const [at, n] of [0, 1, 4, 2, 5, 5, 6].entries()) receiver.datagram(packets[n]!, at * 1000);
    receiver.run(60_000);
    expect(receiver.counts).toEqual({
      heard: 6,
      lost: 1,
      recovered: 1,
      reordered: 1,
      late: 1,
      foreign: 0,
      unreadable: 0,
      mended: 1,
    });
    expect(reader.noteOns).toHaveLength(4);
    expect(reader.sounding).toBe(1);
  });
});

describe('where nothing was lost nothing is told again', () => {
  it.each([
    ['a bank by its fine half alone', ['B0 20 05', 'C0 07']],
    ['a bank by its coarse half alone', ['B0 00 05', 'C0 07']],
    ['a program before its bank', ['C0 07', 'B0 00 05', 'B0 20 06']],
    ['a coarse controller behind its fine half', ['B0 21 05', 'B0 01 06']],
    ['a fine half behind its coarse one', ['B0 01 06', 'B0 21 05']],
    ['steps of a parameter without a value', ['B0 65 00', 'B0 64 01', 'B0 60 00', 'B0 60 00']],
    ['a parameter that is chosen no more', ['B0 65 00', 'B0 64 01', 'B0 06 40', 'B0 65 7F', 'B0 64 7F']],
    [
      'every pedal, bend, pressure and mode',
      ['B0 40 7F', 'E0 01 02', 'D0 03', 'A0 3C 04', 'B0 7B 00', 'B0 7A 00'],
    ],
  ])('%s', (_what, messages) => {
    const { reader, receiver } = judged();
    const sender = new RtpSender({ sequence: 1, timestamp: 0, source: 3 });
    for (const [n, message] of messages.entries()) {
      sender.add(bytesOf(message), n * 1000);
      receiver.datagram(sender.packet(n * 1000), n * 1000);
    }
    for (const n of [8, 9]) receiver.datagram(sender.packet(n * 1000), n * 1000);
    receiver.run(20_000);
    expect(receiver.counts).toMatchObject({ heard: messages.length + 2, mended: 0 });
    expect(reader.messages.map((message) => hexOf(Uint8Array.from(message)))).toEqual(messages);
  });
});

it('two that change places while nothing else waits are heard in order', () => {
  const reader = new WireReader();
  const receiver = new RtpReceiver({ bytes: (bytes) => reader.read(bytes), begun() {}, gone() {} }, 20_000);
  const sender = new RtpSender({ sequence: 7, timestamp: 0, source: 1 });
  const packets = [0, 38_000, 39_000].map((micros, n) => {
    sender.add(Uint8Array.of(0x90, 60 + n, 100), micros);
    return sender.packet(micros);
  });
  receiver.datagram(packets[0]!, 0);
  receiver.run(30_000);
  receiver.datagram(packets[2]!, 40_000);
  receiver.datagram(packets[1]!, 41_000);
  receiver.run(90_000);
  expect(receiver.counts).toMatchObject({ heard: 3, lost: 0, reordered: 1, late: 0, mended: 0 });
  expect(reader.noteOns.map(({ key }) => key)).toEqual([60, 61, 62]);
});

it('a mode message of before a receiver came is not sent to it; one that it lost is, once', () => {
  const sender = new RtpSender({ sequence: 0, timestamp: 0, source: 3 });
  const { reader, receiver } = judged();
  const send = (n: number, isLost: boolean, ...messages: string[]) => {
    for (const message of messages) sender.add(bytesOf(message), n * 1000);
    const packet = sender.packet(n * 1000);
    if (!isLost) receiver.datagram(packet, n * 1000);
  };
  send(0, true, 'B2 7B 00', 'B2 7B 00', 'B2 78 00');
  send(1, false, 'B2 07 50');
  send(2, true, 'B2 7B 00', 'B2 7B 00');
  send(3, false);
  send(4, false);
  receiver.run(20_000);
  expect(reader.messages.map((message) => hexOf(Uint8Array.from(message)))).toEqual(['B2 07 50', 'B2 7B 00']);
});

describe('another sender', () => {
  const note = (source: number, micros: number) => {
    const sender = new RtpSender({ sequence: source * 100, timestamp: 0, source });
    sender.add(Uint8Array.of(0x90, 60, 100), micros);
    return sender.packet(micros);
  };
  it('is not heard while the first one is, and counted', () => {
    const { reader, receiver } = judged();
    receiver.datagram(note(1, 0), 0);
    receiver.datagram(note(2, 500_000), 500_000);
    expect(reader.noteOns).toHaveLength(1);
    expect(receiver.counts.foreign).toBe(1);
  });
  it('or the same one begun anew is heard once the first is silent for a second, its notes ended before', () => {
    const { reader, receiver } = judged();
    receiver.datagram(note(1, 0), 0);
    receiver.datagram(note(2, 1_000_000), 1_000_000);
    expect(reader.messages).toEqual([
      [0x90, 60, 100],
      [0x80, 60, 64],
      [0x90, 60, 100],
    ]);
  });
  it('in mid-song is brought in whole: what it had set before comes first', () => {
    const sender = new RtpSender({ sequence: 0, timestamp: 0, source: 3 });
    for (const message of [
      [0xc2, 40],
      [0xb2, 7, 90],
      [0xe2, 0, 80],
    ])
      sender.add(Uint8Array.from(message), 0);
    sender.packet(0);
    sender.add(Uint8Array.of(0x92, 60, 100), 5_000_000);
    const { reader, receiver } = judged();
    receiver.datagram(sender.packet(5_000_000), 0);
    expect(reader.messages).toEqual([
      [0xc2, 40],
      [0xb2, 7, 90],
      [0xe2, 0, 80],
      [0x92, 60, 100],
    ]);
  });
});
