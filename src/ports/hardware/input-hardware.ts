import { Refusal } from '../../trouble/refusal.ts';
import type { HowToListen, InputPort, InputSink } from '../input-port.ts';
import { hardwareMeant } from './choice-refusal.ts';
import { lastingName } from './hardware-name.ts';
import { HARDWARE_WIRE } from './hardware-port.ts';
import { type MidiBinding, type MidiInput, namesOf } from './midi-binding.ts';

/** `interface:<number or part of the name>` as an input. The library hands over whole messages. */
export function openHardwareInput(wanted: string, binding: MidiBinding, how: HowToListen): InputPort {
  const watcher = new binding.Input();
  let name: string;
  try {
    name = hardwareMeant(`interface:${wanted}`, namesOf(watcher), wanted, how.waitForDevice);
  } catch (error) {
    watcher.destroy();
    throw error;
  }
  let client: MidiInput | undefined;
  let sink: InputSink | undefined;
  const look = (): void => {
    const index = namesOf(watcher).findIndex((candidate) => lastingName(candidate) === name);
    if (client !== undefined && index < 0) {
      closeClient(client);
      client = undefined;
      sink?.lost();
    } else if (client === undefined && index >= 0) {
      client = openClient(
        binding,
        (opened) => opened.openPort(index),
        how,
        () => sink,
      );
      if (client !== undefined) sink?.back();
    }
  };
  look();
  const timer = setInterval(look, WATCH_MS);
  return hardwareInput(`interface:${name}`, {
    start(given) {
      sink = given;
      if (client === undefined) given.lost();
      else given.back();
    },
    stop() {
      sink = undefined;
      clearInterval(timer);
      if (client !== undefined) closeClient(client);
      client = undefined;
      watcher.destroy();
    },
  });
}

/** `virtual:<name>`: a port of our own that others send to. */
export function openVirtualInput(name: string, binding: MidiBinding, how: HowToListen): InputPort {
  let sink: InputSink | undefined;
  const client = openClient(
    binding,
    (opened) => opened.openVirtualPort(name),
    how,
    () => sink,
  );
  if (client === undefined) {
    throw new Refusal(
      'the MIDI library could not make the port',
      `virtual:${name}`,
      '`wirepit ports` says what is missing',
    );
  }
  return hardwareInput(`virtual:${name}`, {
    start(given) {
      sink = given;
      given.back();
    },
    stop() {
      sink = undefined;
      closeClient(client);
    },
  });
}

function hardwareInput(name: string, duty: { start(sink: InputSink): void; stop(): void }): InputPort {
  let closed = false;
  return {
    name,
    wire: HARDWARE_WIRE,
    paced: false,
    start: duty.start,
    async close() {
      if (closed) return;
      closed = true;
      duty.stop();
    },
  };
}

/** Undefined when the library refuses: the watcher tries again. */
function openClient(
  binding: MidiBinding,
  connect: (client: MidiInput) => void,
  how: HowToListen,
  sink: () => InputSink | undefined,
): MidiInput | undefined {
  const client = new binding.Input();
  try {
    // By itself the library drops SysEx, clock and Active Sensing: just what one listens for.
    client.ignoreTypes(false, false, false);
    client.on('messageBuffer', (_delta, message) => sink()?.bytes(message, how.clock.nowMicros()));
    connect(client);
    return client;
  } catch {
    client.destroy();
    return undefined;
  }
}

function closeClient(client: MidiInput): void {
  try {
    client.closePort();
    client.destroy();
  } catch {
    // the device went first
  }
}

const WATCH_MS = 500;
