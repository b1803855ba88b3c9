import type { FaultKind } from '../../src/core/midi/stream-fault.ts';
import { FAULT_WORDS } from '../../src/core/midi/stream-fault.ts';
import { StreamParser, SYSEX_CUT, SYSEX_LAST } from '../../src/core/midi/stream-parser.ts';

export interface StreamLog {
  /** Each message as hex, SysEx whole (`!` after one that was cut). */
  messages: string[];
  /** `offset: words: hex` */
  faults: string[];
  /** `offset: hex` of what came before the first status byte. */
  rest: string[];
  /** Lengths of SysEx pieces. */
  pieces: number[];
  wireBytes: number;
}

export function hexOf(bytes: Iterable<number>): string {
  return [...bytes].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
}

/** Data bytes by status, written apart from the parser's own table. */
function dataCount(status: number): number {
  if (status < 0xf0) return status >= 0xc0 && status < 0xe0 ? 1 : 2;
  return { 241: 1, 242: 2, 243: 1 }[status] ?? 0;
}

/** Feeds the chunks one after another and writes down what came out. */
export function readStream(chunks: Iterable<Uint8Array>, finish = true): StreamLog {
  const log: StreamLog = { messages: [], faults: [], rest: [], pieces: [], wireBytes: 0 };
  let sysEx: number[] = [];
  const parser = new StreamParser({
    message(status, data1, data2, wireBytes) {
      log.messages.push(hexOf([status, data1, data2].slice(0, 1 + dataCount(status))));
      log.wireBytes += wireBytes;
    },
    sysEx(bytes, length, part) {
      log.pieces.push(length);
      sysEx.push(...bytes.subarray(0, length));
      log.wireBytes += length;
      if ((part & SYSEX_LAST) === 0) return;
      log.messages.push(hexOf(sysEx) + ((part & SYSEX_CUT) === 0 ? '' : '!'));
      sysEx = [];
    },
    fault(kind: FaultKind, offset, count, byte1, byte2) {
      log.faults.push(`${offset}: ${FAULT_WORDS[kind]}: ${hexOf([byte1, byte2].slice(0, count))}`);
    },
    rest(offset, byte) {
      log.rest.push(`${offset}: ${hexOf([byte])}`);
    },
  });
  for (const chunk of chunks) parser.feed(chunk);
  if (finish) parser.finish();
  return log;
}

/** `'90 3C 40  F8'` → bytes. */
export function bytesOf(hex: string): Uint8Array {
  return Uint8Array.from(hex.split(/\s+/).filter(Boolean), (pair) => Number.parseInt(pair, 16));
}
