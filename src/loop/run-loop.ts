import { setTimeout as after } from 'node:timers/promises';
import { judgeLoop, type LoopJudgement, patternHeard } from '../core/loop/judge-loop.ts';
import type { LoopHearing } from '../core/loop/loop-hearing.ts';
import { type LoopPattern, loopPattern } from '../core/loop/loop-pattern.ts';
import { MIDI_WIRE, type WireTraits } from '../core/wire/wire-traits.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import { keepInput } from '../ports/keep-input.ts';
import { keepOutput } from '../ports/keep-output.ts';
import { openOutput } from '../ports/open-output.ts';
import type { OutputPort } from '../ports/output-port.ts';
import { portNamed } from '../ports/port-named.ts';
import { lineErrorsSince, readLineErrors } from '../ports/serial/line-errors.ts';
import { wireOf } from '../ports/wire-of.ts';
import { PatternSender } from './pattern-sender.ts';
import { type Hearing, startHearing } from './start-hearing.ts';

export interface LoopOptions {
  /** Where the pattern goes; without it only what another machine sends is heard. */
  readonly port?: string;
  /** Where it is heard; without it only sent. */
  readonly from?: string;
  readonly quiet: boolean;
  readonly rounds: number;
  /** Ends hearing, where nothing is sent from here. */
  readonly seconds?: number;
  /** Awaited once all ports are open, before the first byte. */
  readonly caution?: () => Promise<void>;
}

/** A loop under way. */
export interface LoopRun {
  /** Run time 0 of all stamps, on the machine's monotonic clock. */
  readonly originNanos: number;
  /** What was found; rejects where a port's own fault ended it. */
  readonly done: Promise<LoopJudgement>;
  /** Why the system does not tell of framing errors, where it does not. */
  readonly whyNoLineErrors: string | undefined;
  /** Silence, then the end: `done` settles with what there is. May be called more than once. */
  quit(): Promise<void>;
}

/**
 * Opens the ports, sends the pattern, hears it. Resolves once the ports are open and the caution was given.
 * @throws Refusal when a port cannot be opened
 */
export async function startLoop(options: LoopOptions): Promise<LoopRun> {
  const { port: to, from } = options;
  const closers: (() => Promise<void>)[] = [];
  const close = async (): Promise<void> => {
    for (const one of closers.splice(0).reverse()) await one();
  };
  try {
    const clock = new RunClock();
    const candidates = patternsFor(options);
    let hearing: Hearing | undefined;
    let link: SharedArrayBuffer | undefined;
    if (from !== undefined) {
      const kept = await keepInput(from, false);
      closers.push(() => kept.close());
      link = kept.link;
      const room = EXTRA_ROOM + 4 * Math.max(...candidates.map(({ bytes }) => bytes.length));
      const { originNanos } = clock;
      hearing = await startHearing({ from, link, originNanos, room });
    }
    let output: OutputPort | undefined;
    if (to !== undefined) {
      // One keeper serves both directions of one device.
      const shared = to === from && link !== undefined;
      const kept = shared ? { spec: to, link, async close() {} } : await keepOutput(to, false);
      closers.push(() => kept.close());
      output = await openOutput(kept.spec, { link: kept.link });
      closers.push(async () => output?.close());
    }
    await options.caution?.();
    return begin(options, { clock, candidates, hearing, output, close });
  } catch (error) {
    await close();
    throw error;
  }
}

interface Parts {
  readonly clock: RunClock;
  readonly candidates: readonly LoopPattern[];
  readonly hearing: Hearing | undefined;
  readonly output: OutputPort | undefined;
  readonly close: () => Promise<void>;
}

function begin(options: LoopOptions, parts: Parts): LoopRun {
  const { clock, candidates, hearing, output, close } = parts;
  const errorsBefore = options.from === undefined ? 'nothing is heard here' : readLineErrors(options.from);
  const sender = output === undefined ? undefined : new PatternSender(output, candidates[0]!, clock);
  let isLeaving = false;
  const work = async (): Promise<LoopJudgement> => {
    let room = 0;
    try {
      if (sender !== undefined) {
        await sender.run();
        if (hearing !== undefined) await quietEnd(hearing, () => isLeaving);
      } else if (hearing !== undefined) await heardOut(hearing, options.seconds, () => isLeaving);
      // The silence is heard as well, and no part of the pattern.
      room = hearing?.bytes ?? 0;
    } finally {
      await sender?.silence();
    }
    // Before anything is closed: the keeper sets the line anew.
    const lineErrors =
      typeof errorsBefore === 'string' ? undefined : lineErrorsSince(errorsBefore, options.from!);
    const heard = hearing === undefined ? NOTHING : upTo(room, await hearing.stop());
    const pattern = sender === undefined ? patternHeard(candidates, heard.bytes) : candidates[0]!;
    const wire = output?.wire ?? inputWire(options.from!);
    return judgeLoop(pattern, sender?.sending, heard, wire, lineErrors);
  };
  const done = work().finally(close);
  done.catch(() => {}); // told to whoever asks
  return {
    originNanos: clock.originNanos,
    done,
    whyNoLineErrors: typeof errorsBefore === 'string' ? errorsBefore : undefined,
    async quit() {
      isLeaving = true;
      sender?.leave();
      await done.catch(() => {});
    },
  };
}

/** What may be sent. A far end that only hears cannot know whether the other is quiet, or encodes for itself. */
function patternsFor({ port, quiet, rounds }: LoopOptions): LoopPattern[] {
  if (port !== undefined) {
    return [loopPattern({ quiet, rounds, whole: wireOf(port).runningStatus === 'device' })];
  }
  return [false, true].flatMap((isQuiet) =>
    [false, true].map((whole) => loopPattern({ quiet: isQuiet, rounds, whole })),
  );
}

/** Waits until nothing more has come for a while. */
async function quietEnd(hearing: Hearing, isLeaving: () => boolean): Promise<void> {
  let bytes = -1;
  let quietMs = 0;
  while (quietMs < QUIET_MS && !isLeaving() && !hearing.isEnded) {
    await after(LOOK_MS);
    quietMs = hearing.bytes === bytes ? quietMs + LOOK_MS : 0;
    bytes = hearing.bytes;
  }
}

async function heardOut(
  hearing: Hearing,
  seconds: number | undefined,
  isLeaving: () => boolean,
): Promise<void> {
  const end = performance.now() + (seconds ?? Number.POSITIVE_INFINITY) * 1000;
  while (hearing.bytes === 0 && !isLeaving() && !hearing.isEnded && performance.now() < end)
    await after(LOOK_MS);
  let bytes = hearing.bytes;
  let quietMs = 0;
  while (quietMs < FAR_QUIET_MS && !isLeaving() && !hearing.isEnded && performance.now() < end) {
    await after(LOOK_MS);
    quietMs = hearing.bytes === bytes ? quietMs + LOOK_MS : 0;
    bytes = hearing.bytes;
  }
}

function upTo(room: number, heard: LoopHearing): LoopHearing {
  const { bytes, chunkEnd, chunkMicros, unkept } = heard;
  const chunks = chunkEnd.findLastIndex((end) => end <= room) + 1;
  return {
    ...heard,
    bytes: bytes.subarray(0, room),
    chunkEnd: chunkEnd.subarray(0, chunks),
    chunkMicros: chunkMicros.subarray(0, chunks),
    unkept: Math.min(unkept, Math.max(0, room - bytes.length)),
  };
}

function inputWire(from: string): WireTraits {
  const named = portNamed(from);
  return named?.kind.name === 'serial' ? named.kind.output!.wire(named.rest) : MIDI_WIRE;
}

const NOTHING: LoopHearing = {
  bytes: new Uint8Array(0),
  chunkEnd: new Uint32Array(0),
  chunkMicros: new Float64Array(0),
  unkept: 0,
  isLost: false,
};
/** Noise, an echo, another sender: some of it should be seen. */
const EXTRA_ROOM = 65_536;
const LOOK_MS = 20;
/** Longer than any buffer on the way holds a byte back. */
const QUIET_MS = 300;
/** Longer than any rest of the pattern, and than a far end that is held up. */
const FAR_QUIET_MS = 1500;
