import { execFileSync, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { RtpSender } from '../../src/core/network/rtp-sender.ts';
import { seeded } from '../support/seeded.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WireReader } from '../support/wire-reader.ts';

/**
 * Outside check: a protocol analyser reads our packets (Debian package tshark, 22 MB to fetch and 128 MB on the disk, so
 * CI does not install it), and its words for the commands and for each chapter of the journal are held against what `WireReader`, which
 * shares no code with the program, made of the same messages.
 */
const isHere = spawnSync('tshark', ['--version']).status === 0;

const MESSAGES = messages();

/** Notes, controllers, programs, bends and pressures by chance, on two channels. */
function messages(): number[][] {
  const chance = seeded(6295);
  const upTo = (most: number): number => Math.floor(chance() * (most + 1));
  return Array.from({ length: 150 }, () => {
    const channel = upTo(1) * 9;
    const kinds = [0x90, 0x90, 0x90, 0x80, 0x80, 0xa0, 0xb0, 0xb0, 0xc0, 0xd0, 0xe0];
    const kind = kinds[upTo(kinds.length - 1)]!;
    if (kind < 0xb0) return [kind | channel, 40 + upTo(30), 1 + upTo(126)];
    if (kind === 0xb0) return [kind | channel, [0, 1, 7, 10, 64, 91][upTo(5)]!, upTo(127)];
    return kind === 0xe0 ? [kind | channel, upTo(127), upTo(127)] : [kind | channel, upTo(127)];
  });
}

/**
 * Bytes behind each packet: this analyser (4.0.17) marks as many bytes for the note-off bits as there are note-ons, and calls a
 * packet malformed that has not so many left.
 */
const ROOM = 128;

/** A capture file: IPv4 and UDP round each packet (libpcap format; link type 228 is raw IPv4). */
function capture(packets: readonly Uint8Array[]): Buffer {
  const head = Buffer.alloc(24);
  head.writeUInt32LE(0xa1b2c3d4, 0);
  head.writeUInt16LE(2, 4);
  head.writeUInt16LE(4, 6);
  head.writeUInt32LE(65_535, 16);
  head.writeUInt32LE(228, 20);
  const records = packets.map((packet, index) => {
    const length = 28 + packet.length + ROOM;
    const record = Buffer.alloc(16 + length);
    record.writeUInt32LE(index, 0);
    record.writeUInt32LE(length, 8);
    record.writeUInt32LE(length, 12);
    const ip = record.subarray(16);
    ip[0] = 0x45;
    ip.writeUInt16BE(length, 2);
    ip[8] = 64;
    ip[9] = 17;
    ip.set([127, 0, 0, 1, 127, 0, 0, 1], 12);
    ip.writeUInt16BE(40_000, 20);
    ip.writeUInt16BE(5004, 22);
    ip.writeUInt16BE(length - 20, 24);
    ip.set(packet, 28);
    return record;
  });
  return Buffer.concat([head, ...records]);
}

/** tshark's words for each packet. */
function read(packets: readonly Uint8Array[]): string[] {
  const file = join(tempFolder('tshark'), 'packets.pcap');
  writeFileSync(file, capture(packets));
  const decode = ['-d', 'udp.port==5004,rtp', '-d', 'rtp.pt==97,rtpmidi'];
  const options = { encoding: 'utf8', maxBuffer: 1 << 28, stdio: 'pipe' } as const;
  return execFileSync('tshark', ['-r', file, ...decode, '-V'], options)
    .split(/^Frame \d+:.*$/m)
    .slice(1);
}

const numbers = (text: string, pattern: RegExp): number[] =>
  [...text.matchAll(pattern)].map((match) => Number(match[1]));

/** What its words say of one channel: the same keys as `WireReader.said`, and the keys that sound or did. */
function journalSaid(words: string, channel: number) {
  const part =
    words.split(/^ {12}Channel (?=\d+$)/m).find((each) => each.startsWith(`${channel + 1}\n`)) ?? '';
  const said: Record<string, number> = {};
  const note = (what: string, [value]: readonly number[]): void => {
    if (value !== undefined) said[`${channel}:${what}`] = value;
  };
  note('program', numbers(part, /Chapter P Program: (\d+)/g));
  const controllers = numbers(part, /Chapter C Number: .*\((\d+)\)$/gm);
  const values = [...part.matchAll(/Chapter C Value: (0x[0-9a-f]+)/g)].map((match) => Number(match[1]));
  for (const [index, controller] of controllers.entries()) note(`cc${controller}`, [values[index]!]);
  const [first] = [...part.matchAll(/Chapter W First: (0x[0-9a-f]+)/g)];
  const [second] = [...part.matchAll(/Chapter W Second: (0x[0-9a-f]+)/g)];
  if (first && second) note('bend', [Number(first[1]) + 128 * Number(second[1])]);
  note('pressure', numbers(part, /Chapter T Pressure: (\d+)/g));
  for (const [, key, pressure] of part.matchAll(/Pressure \(n=.*?, p=(\d+)\)[\s\S]*?Log Note: .*?\((\d+)\)/g))
    note(`key${pressure}`, [Number(key)]);
  return { said, sounding: numbers(part, /Chapter N Log Note: .*\((\d+)\)/g) };
}

describe.skipIf(!isHere)('RTP packets against tshark (Debian package)', () => {
  const sender = new RtpSender({ sequence: 500, timestamp: 0, source: 77 });
  const packets = MESSAGES.map((message, index) => {
    sender.add(Uint8Array.from(message), index * 10_000);
    return sender.packet(index * 10_000);
  });

  test('it reads the commands, and in each journal what the stream has said so far', () => {
    const words = read(packets);
    expect(words).toHaveLength(MESSAGES.length);
    const judge = new WireReader(false);
    words.forEach((word, index) => {
      expect(word).not.toMatch(/Malformed/i);
      expect(numbers(word, /Checkpoint Packet Seqnum: (\d+)/g)).toEqual([500]);
      for (const channel of [0, 9]) {
        const { said, sounding } = journalSaid(word, channel);
        const expected = [...judge.said].filter(
          ([what]) => what.startsWith(`${channel}:`) && !what.endsWith('bankOfProgram'),
        );
        expect(said, `packet ${index}`).toEqual(Object.fromEntries(expected));
        const open = [...judge.open.keys()]
          .filter((place) => place >> 7 === channel)
          .map((place) => place & 127);
        expect(sounding, `packet ${index}`).toEqual(open.sort((a, b) => a - b));
      }
      const [status = 0] = MESSAGES[index]!;
      expect(word).toMatch(new RegExp(`Channel Status: .*\\(0x${(status >> 4).toString(16)}\\)`));
      judge.read(MESSAGES[index]!);
    });
  });
});
