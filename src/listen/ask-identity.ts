import { setTimeout as after } from 'node:timers/promises';
import { IDENTITY_REQUEST } from '../core/midi/identity-reply.ts';
import { StreamParser, SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../core/midi/stream-parser.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import { openInput } from '../ports/open-input.ts';
import { openOutput } from '../ports/open-output.ts';
import { WRITE_DONE, WRITE_LOST } from '../ports/output-port.ts';
import { Refusal } from '../trouble/refusal.ts';
import { keepDevices } from './keep-devices.ts';

/** What came back after an Identity Request. */
export interface Answers {
  /** Whole SysEx messages, F0 and F7 included, in the order they came. */
  readonly sysEx: readonly Uint8Array[];
  /** Bytes of any kind: whether the cable speaks at all. */
  readonly bytes: number;
}

/**
 * Sends an Identity Request and gathers what comes until `seconds` are over, or for half a second more once an answer
 * came, since several may.
 * @param isAnswer which SysEx is what was asked for
 * @throws Refusal when a port cannot be opened, or is lost before the request is out
 */
export async function askIdentity(
  port: string,
  from: string,
  seconds: number,
  isAnswer: (sysEx: Uint8Array) => boolean,
): Promise<Answers> {
  const kept = await keepDevices({ from, thru: port });
  try {
    const clock = new RunClock();
    const how = { clock, waitForDevice: false, pace: 'wire' } as const;
    const input = await openInput(from, { ...how, link: kept.links.from });
    try {
      const output = await openOutput(kept.thru ?? port, { link: kept.links.thru });
      try {
        return await gather(input, output, port, seconds, isAnswer);
      } finally {
        output.close();
      }
    } finally {
      await input.close();
    }
  } finally {
    await kept.close();
  }
}

type Input = Awaited<ReturnType<typeof openInput>>;
type Output = Awaited<ReturnType<typeof openOutput>>;

async function gather(
  input: Input,
  output: Output,
  port: string,
  seconds: number,
  isAnswer: (sysEx: Uint8Array) => boolean,
): Promise<Answers> {
  const sysEx: Uint8Array[] = [];
  let open: number[] = [];
  let bytes = 0;
  const parser = new StreamParser({
    message() {},
    fault() {},
    sysEx(piece, length, part) {
      if (part & SYSEX_FIRST) open = [];
      if (open.length < LONGEST_KEPT) open.push(...piece.subarray(0, length));
      if (part & SYSEX_LAST && !(part & SYSEX_CUT)) sysEx.push(Uint8Array.from(open));
    },
  });
  let isOver = false;
  input.start({
    bytes(chunk) {
      bytes += chunk.length;
      parser.feed(chunk);
    },
    lost: () => {},
    back: () => {},
    ended() {
      isOver = true;
    },
  });
  await send(output, port);
  const end = performance.now() + seconds * 1000;
  let enough = end;
  while (performance.now() < Math.min(end, enough) && !isOver) {
    await after(LOOK_EVERY_MS);
    output.flush();
    if (enough === end && sysEx.some(isAnswer)) enough = performance.now() + MORE_ANSWERS_MS;
  }
  return { sysEx, bytes };
}

async function send(output: Output, port: string): Promise<void> {
  const request = Uint8Array.from(IDENTITY_REQUEST);
  const at = new Float64Array(4);
  for (let tries = 0; tries < MOST_TRIES; tries += 1) {
    const outcome = output.write(request, 0, request.length, at);
    if (outcome === WRITE_DONE) return;
    if (outcome === WRITE_LOST) break;
    await after(LOOK_EVERY_MS);
  }
  throw new Refusal('it takes no bytes', `port ${port}`, 'check the cable and that nothing else uses it');
}

const LOOK_EVERY_MS = 10;
const MORE_ANSWERS_MS = 500;
/** Two seconds: as long as a device that takes nothing counts as there. */
const MOST_TRIES = 200;
/** A device that answers with a dump of its memory is not asked for it. */
const LONGEST_KEPT = 4096;
