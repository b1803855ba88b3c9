import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hexOf, readStream, type StreamLog } from '../../support/stream-log.ts';

/** Any bytes, with status bytes as likely as they are in music, so that states are really visited. */
const anyStream = fc
  .array(
    fc.oneof(
      { weight: 5, arbitrary: fc.integer({ min: 0, max: 0x7f }) },
      { weight: 2, arbitrary: fc.integer({ min: 0x80, max: 0xef }) },
      { weight: 2, arbitrary: fc.integer({ min: 0xf0, max: 0xff }) },
    ),
    { maxLength: 600 },
  )
  .map((bytes) => Uint8Array.from(bytes));

function splitAt(bytes: Uint8Array, places: number[]): Uint8Array[] {
  const cuts = [0, ...places.map((place) => place % (bytes.length + 1)).sort((a, b) => a - b), bytes.length];
  return cuts.slice(1).map((to, index) => bytes.subarray(cuts[index], to));
}

/** Offsets move when bytes are put in; the rest must not. */
function withoutPlaces(log: StreamLog) {
  return { messages: log.messages, faults: log.faults.map((fault) => fault.replace(/^\d+: /, '')) };
}

describe('laws of the stream parser', () => {
  it('any cut of the stream gives the same messages and faults', () => {
    fc.assert(
      fc.property(anyStream, fc.array(fc.nat(), { maxLength: 30 }), (bytes, places) => {
        expect(readStream(splitAt(bytes, places))).toEqual(readStream([bytes]));
      }),
      { numRuns: 500 },
    );
  });

  it('real-time bytes put in anywhere change nothing else (MIDI 1.0, p. 30 and A-2)', () => {
    const realTime = fc.constantFrom(0xf8, 0xfa, 0xfb, 0xfc, 0xfe, 0xff);
    const quiet = anyStream.map((bytes) => bytes.filter((byte) => byte < 0xf8));
    fc.assert(
      fc.property(quiet, fc.array(fc.tuple(fc.nat(), realTime), { maxLength: 40 }), (bytes, insertions) => {
        const mixed = [...bytes];
        for (const [place, byte] of insertions) mixed.splice(place % (mixed.length + 1), 0, byte);
        const log = readStream([Uint8Array.from(mixed)]);
        const added = log.messages.filter((text) => text.length === 2 && text >= 'F8');
        const rest = {
          ...log,
          messages: log.messages.filter((text) => !(text.length === 2 && text >= 'F8')),
        };
        expect(withoutPlaces(rest)).toEqual(withoutPlaces(readStream([bytes])));
        expect(added).toEqual(mixed.filter((byte) => byte >= 0xf8).map((byte) => hexOf([byte])));
      }),
      { numRuns: 500 },
    );
  });

  it('every byte is part of a message, of a fault, or of what is before the first status byte', () => {
    fc.assert(
      fc.property(anyStream, (bytes) => {
        const log = readStream([bytes]);
        // A cut SysEx is both: its bytes were handed on, and the fault names F0 and the byte that cut it.
        const faulty = log.faults.filter((fault) => !fault.includes('SysEx cut'));
        const faultyBytes = faulty.reduce((sum, fault) => sum + fault.split(': ')[2]!.split(' ').length, 0);
        expect(log.wireBytes + faultyBytes + log.rest.length).toBe(bytes.length);
      }),
      { numRuns: 500 },
    );
  });

  it('follows the running-status rules of p. A-1 and A-2, told a second time and naively', () => {
    fc.assert(
      fc.property(anyStream, (bytes) => {
        expect(readStream([bytes]).messages.filter((text) => !text.startsWith('F'))).toEqual(
          channelMessagesOf(bytes),
        );
      }),
      { numRuns: 1000 },
    );
  });
});

/**
 * The specification's rules without a state machine: drop real-time bytes (they change nothing), cut the rest
 * before each status byte, and in each stretch take the data bytes in groups.
 */
function channelMessagesOf(bytes: Uint8Array): string[] {
  const text = String.fromCharCode(...bytes.filter((byte) => byte < 0xf8));
  const messages: string[] = [];
  for (const stretch of text.match(/[\x80-\xf7][^\x80-\xf7]*/g) ?? []) {
    const [status, ...data] = [...stretch].map((letter) => letter.charCodeAt(0));
    if (status! >= 0xf0) continue;
    const size = status! >> 4 === 0xc || status! >> 4 === 0xd ? 1 : 2;
    for (let at = 0; at + size <= data.length; at += size) {
      messages.push(hexOf([status!, ...data.slice(at, at + size)]));
    }
  }
  return messages;
}
