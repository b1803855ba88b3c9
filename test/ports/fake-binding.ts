import type { MidiBinding, MidiInput, MidiOutput } from '../../src/ports/hardware/midi-binding.ts';

/** A pretended MIDI library: devices by name, and what was sent to each. */
export class FakeBinding implements MidiBinding {
  names: string[];
  /** Whole messages by port name, in order. */
  readonly sent = new Map<string, Uint8Array[]>();
  /** The buffers that messages came in. */
  readonly handed: Buffer[] = [];
  readonly inputs: FakeInput[] = [];
  open = 0;
  /** What the next calls throw: the library's own words. */
  failInit = false;
  failSend = false;
  failOpen = false;
  failClose = false;

  constructor(names: string[] = ['Fake Module 20:0', 'Fake Keys 24:0']) {
    this.names = names;
  }

  readonly Output: new () => MidiOutput = fakeOutput(this);
  readonly Input: new () => MidiInput = fakeInput(this);
}

function fakeClient(binding: FakeBinding) {
  return class {
    port = '';
    constructor() {
      if (binding.failInit) throw new Error('Failed to initialise RtMidi');
      binding.open += 1;
    }
    getPortCount = () => binding.names.length;
    getPortName = (index: number) => binding.names[index] ?? '';
    openPort(index: number): void {
      if (binding.failOpen) throw new Error('Internal RtMidi error');
      const name = binding.names[index];
      if (name === undefined) throw new RangeError('Invalid MIDI port number');
      this.port = name;
    }
    openVirtualPort(name: string): void {
      if (binding.failOpen) throw new Error('Internal RtMidi error');
      this.port = name;
    }
    closePort(): void {
      if (binding.failClose) throw new Error('Internal RtMidi error');
      this.port = '';
    }
    destroy(): void {
      binding.open -= 1;
    }
  };
}

function fakeOutput(binding: FakeBinding) {
  return class extends fakeClient(binding) {
    sendMessage(message: Buffer): void {
      if (!Buffer.isBuffer(message)) throw new Error('First argument must be an array or Buffer');
      if (binding.failSend) throw new Error('Internal RtMidi error');
      binding.handed.push(message);
      const list = binding.sent.get(this.port) ?? [];
      list.push(Uint8Array.from(message));
      binding.sent.set(this.port, list);
    }
  };
}

export interface FakeInput extends MidiInput {
  readonly port: string;
  readonly ignored: readonly boolean[];
  receive(message: Uint8Array): void;
}

function fakeInput(binding: FakeBinding) {
  return class extends fakeClient(binding) implements FakeInput {
    ignored = [true, true, true];
    #listener: ((deltaSeconds: number, message: Buffer) => void) | undefined;
    constructor() {
      super();
      binding.inputs.push(this);
    }
    ignoreTypes(...types: boolean[]): void {
      this.ignored = types;
    }
    on(_event: 'messageBuffer', listener: (deltaSeconds: number, message: Buffer) => void): this {
      this.#listener = listener;
      return this;
    }
    receive(message: Uint8Array): void {
      this.#listener?.(0, Buffer.from(message));
    }
  };
}
