import { DATA_BYTES } from '../midi/status.ts';
import { StreamParser, SYSEX_CUT } from '../midi/stream-parser.ts';

/** A stream as whole messages: every one with its status, and the real-time bytes apart. */
export interface PlainMessages {
  readonly messages: Uint8Array;
  readonly realTime: Uint8Array;
}

/**
 * Two streams with the same answer say the same: an interface may put running status in or take it out, move real-time
 * bytes between messages, and leave undefined bytes out.
 */
export function plainMessages(bytes: Uint8Array): PlainMessages {
  const messages: number[] = [];
  const realTime: number[] = [];
  const parser = new StreamParser({
    message(status, data1, data2) {
      if (status >= 0xf8) {
        realTime.push(status);
        return;
      }
      messages.push(status);
      const count = DATA_BYTES[status]!;
      if (count > 0) messages.push(data1);
      if (count > 1) messages.push(data2);
    },
    sysEx(piece, length, part) {
      for (let at = 0; at < length; at += 1) messages.push(piece[at]!);
      if ((part & SYSEX_CUT) !== 0) messages.push(0xf7);
    },
    fault() {},
  });
  parser.feed(bytes);
  parser.finish();
  return { messages: Uint8Array.from(messages), realTime: Uint8Array.from(realTime) };
}
