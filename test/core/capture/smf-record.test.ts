import { parseMidi } from 'midi-file';
import { describe, expect, it } from 'vitest';
import { END_OF_TRACK, SmfRecordEncoder, smfRecordHead } from '../../../src/core/capture/smf-record.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

describe('a record as a Standard MIDI File (SMF 1.1)', () => {
  it('head: format 0, 10,000 ticks a quarter, name, tempo 500,000 µs, end of track', () => {
    expect(hexOf(smfRecordHead('ab'))).toBe(
      '4D 54 68 64 00 00 00 06 00 00 00 01 27 10 ' + // MThd, 6, format 0, 1 track, 10,000
        '4D 54 72 6B 00 00 00 11 ' + // MTrk, 17
        '00 FF 03 02 61 62 00 FF 51 03 07 A1 20 00 FF 2F 00',
    );
  });

  it('events: channel messages as they are, SysEx after its F0, all else as an escape (2.3)', () => {
    const encoder = new SmfRecordEncoder();
    encoder.message(0, bytesOf('90 3C 40'));
    encoder.message(50, bytesOf('F8'));
    encoder.message(6400 + 50, bytesOf('F0 43 12 00 07 F7')); // the published SysEx example
    encoder.message(6450, bytesOf('C0 05'));
    expect(hexOf(encoder.take())).toBe('00 90 3C 40 01 F7 01 F8 81 00 F0 05 43 12 00 07 F7 00 C0 05');
    expect(encoder.take()).toHaveLength(0);
  });

  // The published examples of variable-length quantities (SMF 1.1, section 1.1); a tick is 50 µs.
  it.each([
    [0x00, '00'],
    [0x40, '40'],
    [0x7f, '7F'],
    [0x80, '81 00'],
    [0x2000, 'C0 00'],
    [0x3fff, 'FF 7F'],
    [0x4000, '81 80 00'],
    [0x100000, 'C0 80 00'],
    [0x1fffff, 'FF FF 7F'],
    [0x200000, '81 80 80 00'],
    [0x8000000, 'C0 80 80 00'],
    [0xfffffff, 'FF FF FF 7F'],
    // One more than a delta can say: an empty text (FF 01 00) first.
    [0x10000000, 'FF FF FF 7F FF 01 00 01'],
    [0x1ffffffe, 'FF FF FF 7F FF 01 00 FF FF FF 7F'],
    [0x1fffffff, 'FF FF FF 7F FF 01 00 FF FF FF 7F FF 01 00 01'],
  ])('%i ticks later: %s', (ticks, delta) => {
    const encoder = new SmfRecordEncoder();
    encoder.message(50 * ticks, bytesOf('C0 05'));
    expect(hexOf(encoder.take())).toBe(`${delta} C0 05`);
  });

  it('a time that goes back is no time at all, and the next counts from where it was', () => {
    const encoder = new SmfRecordEncoder();
    for (const micros of [1000, 500, 1050]) encoder.message(micros, bytesOf('C0 05'));
    expect(hexOf(encoder.take())).toBe('14 C0 05 00 C0 05 01 C0 05');
  });

  it('a SysEx longer than all before it fits, as do ten thousand short messages', () => {
    const data = Array.from({ length: 20_000 }, (_, n) => n % 128);
    const encoder = new SmfRecordEncoder();
    encoder.message(0, Uint8Array.of(0xf0, ...data, 0xf7));
    expect([...encoder.take()]).toEqual([0, 0xf0, 0x81, 0x9c, 0x21, ...data, 0xf7]);
    for (let n = 0; n < 10_000; n += 1) encoder.message(0, Uint8Array.of(0xc0, n % 128));
    expect([...encoder.take()]).toEqual(Array.from({ length: 10_000 }, (_, n) => [0, 0xc0, n % 128]).flat());
  });

  it('a name is cut to what one byte of length can say, and what is not ASCII is a question mark', () => {
    const nameIn = (name: string) => {
      const head = smfRecordHead(name);
      expect(head.subarray(18, 22)).toEqual(Uint8Array.of(0, 0, 0, head.length - 22));
      return String.fromCharCode(...head.subarray(26, 26 + head[25]!));
    };
    expect(nameIn('a~\u007f\u00e9\u{1f3b9}b')).toBe('a~???b');
    expect(nameIn('x'.repeat(127))).toBe('x'.repeat(127));
    expect(nameIn('x'.repeat(128))).toBe('x'.repeat(127));
    expect(nameIn('')).toBe('');
  });

  it('times are right to half a tick (25 µs) after any number of messages: nothing adds up', () => {
    const encoder = new SmfRecordEncoder();
    const micros = Array.from({ length: 10_000 }, (_, i) => i * 333.37);
    for (const at of micros) encoder.message(at, bytesOf('90 3C 40'));
    const song = parseMidi([...smfRecordHead('x').slice(0, 18), ...trackOf(encoder.take())]);
    let tick = 0;
    let worst = 0;
    for (const [i, event] of song.tracks[0]!.slice(0, -1).entries()) {
      tick += event.deltaTime;
      worst = Math.max(worst, Math.abs(tick * 50 - micros[i]!));
    }
    expect(worst).toBeLessThanOrEqual(25);
  });

  it('a silence longer than a delta can say is bridged', () => {
    const encoder = new SmfRecordEncoder();
    encoder.message(0, bytesOf('90 3C 40'));
    encoder.message(20 * 3600e6, bytesOf('80 3C 40')); // twenty hours
    const song = parseMidi([...smfRecordHead('x').slice(0, 18), ...trackOf(encoder.take())]);
    expect(song.tracks[0]!.reduce((sum, event) => sum + event.deltaTime, 0) * 50).toBe(20 * 3600e6);
  });
});

function trackOf(events: Uint8Array): number[] {
  const length = events.length + END_OF_TRACK.length;
  return [
    length >>> 24,
    (length >> 16) & 0xff,
    (length >> 8) & 0xff,
    length & 0xff,
    ...events,
    ...END_OF_TRACK,
  ];
}
