import type { WireTraits } from '../core/wire/wire-traits.ts';
import type { HardwareNames, HardwareTrouble } from './hardware/hardware-trouble.ts';
import type { HowToListen, InputPort } from './input-port.ts';
import type { OutputPort } from './output-port.ts';

/**
 * A kind of port: everything about it in one row, which stands in the room of its own (`serial/serial-kind.ts`).
 * `rest` is what follows the kind's name and colon on the command line. What refuses, refuses with a `Refusal`.
 */
export interface PortKind {
  /** What stands before the colon. */
  readonly name: string;
  /** How it is written on the command line, as a pattern. */
  readonly usage: string;
  /** Its name is all there is: no colon, nothing after it. */
  readonly bare?: boolean;
  readonly output?: OutputKind;
  readonly input?: InputKind;
  /** What of it this machine has, for `wirepit ports`. Opens nothing. */
  list(sources: PortSources): PortList;
}

export interface OutputKind {
  readonly about: string;
  /** The wire behind it, known from the name alone: a plan is made before any port is open. */
  wire(rest: string): WireTraits;
  open(rest: string, how: HowToOpen): OutputPort | Promise<OutputPort>;
  /** Only where the device is opened and watched in the main thread. */
  keep?(rest: string, waitForDevice: boolean): Promise<KeptOutput>;
}

export interface InputKind {
  readonly about: string;
  open(rest: string, how: HowToListen): InputPort | Promise<InputPort>;
  keep?(rest: string, waitForDevice: boolean): Promise<KeptInput>;
}

export interface HowToOpen {
  /** `KeptOutput.link`, where a keeper lives in another thread. */
  readonly link?: SharedArrayBuffer | undefined;
  /** Open even though the device is not there yet: the port is then lost until it comes. */
  readonly waitForDevice?: boolean | undefined;
  /** Write over a file that is there. */
  readonly replace?: boolean | undefined;
}

/**
 * The half of an output that lives in the thread with an event loop: it opens and sets up the device, watches
 * it, and opens it again when it comes back. The sending thread gets `spec` and `link` and calls `openOutput`.
 */
export interface KeptOutput {
  /** What `openOutput` is to open; for `interface:` the port's lasting name instead of an index. */
  readonly spec: string;
  /** Of a `DeviceLink`; undefined for ports that need no keeper. */
  readonly link?: SharedArrayBuffer;
  close(): Promise<void>;
}

/** The half of an input that must live in the main thread: see `KeptOutput`. */
export interface KeptInput {
  /** Of a `DeviceLink`; undefined for inputs that need no keeper. An output to the same device uses it too. */
  readonly link?: SharedArrayBuffer;
  close(): Promise<void>;
}

/** One place MIDI can go to or come from, as it is named on the command line. */
export interface PortListing {
  readonly name: string;
  readonly direction: 'out' | 'in' | 'both';
  readonly note: string;
}

/** A kind of port, or one device, that cannot be used now: why, and how to get it. */
export interface MissingPort {
  readonly name: string;
  readonly reason: string;
  readonly remedy: string;
}

export interface PortList {
  readonly ports: readonly PortListing[];
  readonly troubles: readonly MissingPort[];
}

/** Where the list is read from; a test hands in folders of its own. */
export interface PortSources {
  /** The folder that stands for `/`. */
  readonly root: string;
  /** What the sequencer has, asked once for a list. */
  readonly probe: () => HardwareNames | HardwareTrouble;
}
