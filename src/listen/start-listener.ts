import { createObservedState } from '../core/observe/create-observed-state.ts';
import { createListenState } from '../core/observe/listen-state.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import { VirtualClock } from '../engine/clock/virtual-clock.ts';
import { Recording } from '../files/recording.ts';
import { openInput } from '../ports/open-input.ts';
import { openOutput } from '../ports/open-output.ts';
import { TapRing } from '../ports/tap-ring.ts';
import { keepDevices } from './keep-devices.ts';
import type { ListenParts } from './listen-parts.ts';
import type { Listener, ListenLinks, ListenOptions } from './listener.ts';
import { Listening } from './listening.ts';
import { ThruPath } from './thru-path.ts';

/** What another thread shares with this one: the pictures, its origin of run time, the devices it keeps. */
export interface SharedPictures {
  readonly observed: SharedArrayBuffer;
  readonly listen: SharedArrayBuffer;
  readonly originNanos: number;
  readonly links: ListenLinks;
}

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
  /** What closes what is open, the last one first. */
  const open: (() => void | Promise<void>)[] = [];
  try {
    const parts = await openParts(options, shared, open);
    return new Listening(parts, onTrouble);
  } catch (error) {
    for (const close of open.reverse()) await close();
    throw error;
  }
}

async function openParts(
  options: ListenOptions,
  shared: SharedPictures | undefined,
  open: (() => void | Promise<void>)[],
): Promise<ListenParts> {
  const kept = shared === undefined ? await keepDevices(options) : undefined;
  if (kept !== undefined) open.push(() => kept.close());
  const links = shared?.links ?? kept?.links ?? {};
  const observed = createObservedState(shared?.observed);
  const listen = createListenState(shared?.listen);
  const atOnce = options.pace === 'at-once';
  const clock = atOnce ? new VirtualClock() : new RunClock(shared?.originNanos);
  const waitForDevice = options.waitForDevice ?? false;
  const pace = options.pace ?? 'wire';
  const input = await openInput(options.from, { clock, waitForDevice, pace, link: links.from });
  open.push(() => input.close());
  let recording: Recording | undefined;
  if (options.recordPath !== undefined) {
    recording = new Recording(options.recordPath, [input.name], atOnce ? 0 : undefined);
    open.push(() => recording?.close());
  }
  for (const channel of options.mute ?? []) observed.muted[channel] = 1;
  for (const channel of options.solo ?? []) observed.soloed[channel] = 1;
  const thruSpec = kept?.thru ?? options.thru;
  let thru: ThruPath | undefined;
  if (thruSpec !== undefined) {
    const how = { waitForDevice, replace: options.replace, link: links.thru };
    const port = await openOutput(thruSpec, how);
    thru = new ThruPath({ port }, clock, observed, listen, options.allowSysEx ?? false);
  }
  const tap = options.tap === undefined ? undefined : new TapRing(options.tap);
  return { observed, listen, clock, input, recording, thru, tap, keeper: kept };
}
