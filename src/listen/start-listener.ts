import { createObservedState } from '../core/observe/create-observed-state.ts';
import { forgetChannels, forgetKey } from '../core/observe/forget-notes.ts';
import { createListenState, Heard } from '../core/observe/listen-state.ts';
import { Slot } from '../core/observe/observed-state.ts';
import type { Command } from '../core/schedule/command.ts';
import { Transport } from '../core/schedule/transport-board.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import { VirtualClock } from '../engine/clock/virtual-clock.ts';
import { LONGEST_LEAVE_MS } from '../engine/run/longest-leave.ts';
import type { PlayerEnd } from '../engine/run/player.ts';
import { Recording } from '../files/recording.ts';
import type { InputSink } from '../ports/input-port.ts';
import { openInput } from '../ports/open-input.ts';
import { openOutput } from '../ports/open-output.ts';
import { keepDevices } from './keep-devices.ts';
import type { Listener, ListenLinks, ListenOptions } from './listener.ts';
import { LiveFold } from './live-fold.ts';
import { recordChunk } from './record-chunk.ts';
import { ThruPath } from './thru-path.ts';

/** What another thread shares with this one: the pictures, its origin of run time, the devices it keeps. */
export interface SharedPictures {
  readonly observed: SharedArrayBuffer;
  readonly listen: SharedArrayBuffer;
  readonly originNanos: number;
  readonly links: ListenLinks;
}

const ALL = 0xffff;

/**
 * Listens in this thread, which needs its event loop. Only the main thread can do without `shared.links` for
 * devices that want a keeper.
 * @param onTrouble hears each of `Listener.troubles` as it happens
 * @throws Refusal when the input, the output or the record cannot be opened
 */
export async function startListener(
  options: ListenOptions,
  shared?: SharedPictures,
  onTrouble: (trouble: string) => void = () => {},
): Promise<Listener> {
  const kept = shared === undefined ? await keepDevices(options) : undefined;
  const links = shared?.links ?? kept?.links ?? {};
  const observed = createObservedState(shared?.observed);
  const listen = createListenState(shared?.listen);
  const atOnce = options.pace === 'at-once';
  const clock = atOnce ? new VirtualClock() : new RunClock(shared?.originNanos);
  const how = { clock, waitForDevice: options.waitForDevice ?? false, pace: options.pace ?? 'wire' } as const;
  const input = await openInput(options.from, { ...how, link: links.from }).catch(async (error: unknown) => {
    await kept?.close();
    throw error;
  });
  let recording: Recording | undefined;
  let thru: ThruPath | undefined;
  try {
    if (options.recordPath !== undefined) {
      recording = new Recording(options.recordPath, [input.name], atOnce ? 0 : undefined);
    }
    for (const channel of options.mute ?? []) observed.muted[channel] = 1;
    for (const channel of options.solo ?? []) observed.soloed[channel] = 1;
    const thruSpec = kept?.thru ?? options.thru;
    if (thruSpec !== undefined) {
      const port = await openOutput(thruSpec, {
        waitForDevice: how.waitForDevice,
        replace: options.replace,
        link: links.thru,
      });
      thru = new ThruPath({ port }, clock, observed, listen, options.allowSysEx ?? false);
    }
  } catch (error) {
    recording?.close();
    await input.close();
    await kept?.close();
    throw error;
  }

  const fold = new LiveFold(observed, listen, input.wire, input.paced, thru);
  const { numbers } = observed;
  numbers[Slot.transport] = Transport.playing;
  let settle: (end: PlayerEnd) => void;
  const ended = new Promise<PlayerEnd>((resolve) => {
    settle = resolve;
  });
  const troubles: string[] = [];
  const tell = (trouble: string | undefined): void => {
    if (trouble === undefined) return;
    troubles.push(trouble);
    onTrouble(trouble);
  };
  let over = false;
  /** From then on nothing that comes in is passed on: it would sound again behind the last silence. */
  let leaving: Promise<void> | undefined;
  let pumping: NodeJS.Timeout | undefined;

  /** Hands on what waits for the output's wire, and comes back when there is room again. */
  const pump = (): void => {
    if (thru === undefined || over) return;
    clearTimeout(pumping);
    const wait = thru.pump();
    numbers[Slot.portTrouble] = thru.trouble;
    if (wait !== Number.POSITIVE_INFINITY && !atOnce) pumping = setTimeout(pump, wait);
  };

  const silence = (channels: number): void => {
    thru?.silence(channels);
    forgetChannels(observed, channels);
    pump();
  };

  /** When Active Sensing runs out, the receiver's part is voices off, and on without it (MIDI 1.0, p. 32). */
  const judgeSensing = (): void => {
    const now = clock.nowMicros();
    if (!fold.sensingExpired(now)) return;
    recording?.remark(input.name, now, 'Active Sensing ran out');
    silence(ALL);
  };

  const finish = (how: 'ended' | 'quit'): Promise<void> => {
    leaving ??= leave(how);
    return leaving;
  };

  const leave = async (how: 'ended' | 'quit'): Promise<void> => {
    fold.finish(clock.nowMicros());
    thru?.end();
    await drained(thru, pump, clock);
    over = true;
    clearTimeout(pumping);
    clearInterval(watch);
    recording?.close();
    tell(recording?.takeTrouble());
    thru?.close();
    await input.close();
    await kept?.close();
    numbers[Slot.transport] = Transport.ended;
    numbers[Slot.ended] = 1;
    settle({ kind: how });
  };

  const sink: InputSink = {
    bytes(chunk, arrivedMicros) {
      if (leaving !== undefined) return;
      if (clock instanceof VirtualClock) {
        clock.set(arrivedMicros);
        judgeSensing();
      }
      fold.bytes(chunk, arrivedMicros);
      recordChunk(recording, input, chunk, arrivedMicros);
      pump();
    },
    lost() {
      if (leaving !== undefined) return;
      listen.numbers[Heard.inputTrouble] = 1;
      fold.finish(clock.nowMicros());
      recording?.remark(input.name, clock.nowMicros(), 'the input is gone');
      if (thru !== undefined) silence(ALL);
    },
    back() {
      listen.numbers[Heard.inputTrouble] = 0;
    },
    ended(trouble) {
      tell(trouble);
      listen.numbers[Heard.inputTrouble] = 2;
      void finish('ended');
    },
  };

  const look = (): void => {
    judgeSensing();
    fold.look(clock.nowMicros());
    thru?.lookAfterPort();
    pump();
    tell(recording?.takeTrouble());
  };
  // What has arrived is read before the silence is judged: a busy moment of ours is not the sender's silence.
  const watch = setInterval(() => setImmediate(() => leaving === undefined && look()), LOOK_MS);

  const settingsChanged = (command: Command & { channel: number; on: boolean }, table: Uint8Array): void => {
    table[command.channel] = command.on ? 1 : 0;
    thru?.settingsChanged();
    pump();
  };
  input.start(sink);
  return {
    observed,
    listen,
    troubles,
    ended,
    nowMicros: () => clock.nowMicros(),
    send(command) {
      if (leaving !== undefined) return;
      switch (command.kind) {
        case 'mute':
          return settingsChanged(command, observed.muted);
        case 'solo':
          return settingsChanged(command, observed.soloed);
        case 'silence-all':
          return silence(ALL);
        case 'silence-channel':
          return silence(1 << command.channel);
        case 'silence-note':
          thru?.silenceKey(command.channel, command.key);
          forgetKey(observed, command.channel, command.key);
          return pump();
        case 'quit':
          return void finish('quit');
      }
    },
    close: () => finish('quit'),
  };
}

/** Waits until the output has the silence, for a bounded time. */
async function drained(
  thru: ThruPath | undefined,
  pump: () => void,
  clock: RunClock | VirtualClock,
): Promise<void> {
  if (thru === undefined) return;
  const limitMs = Math.max(DRAIN_LIMIT_MS, Math.min(thru.waitingMs, LONGEST_DRAIN_MS) + DRAIN_MARGIN_MS);
  for (let waited = 0; waited < limitMs; waited += DRAIN_STEP_MS) {
    if (clock instanceof VirtualClock) clock.set(clock.nowMicros() + DRAIN_STEP_MS * 1000);
    pump();
    if (!(waited < RETURN_MS && thru.awaitsReturn()) && thru.drained) return;
    await new Promise((resolve) => setTimeout(resolve, clock instanceof VirtualClock ? 0 : DRAIN_STEP_MS));
  }
}

const LOOK_MS = 50;
const DRAIN_STEP_MS = 5;
/** How long an output that is gone is waited for, where something sounds there: see `EngineRun`. */
const RETURN_MS = 2000;
/** An output that takes nothing for so long will stay full; what waits may need longer, but not for ever. */
const DRAIN_LIMIT_MS = 3000;
const DRAIN_MARGIN_MS = 1000;
const LONGEST_DRAIN_MS = LONGEST_LEAVE_MS - 3000;
