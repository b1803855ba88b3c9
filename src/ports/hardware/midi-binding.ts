/** The small part of @julusian/midi that we use, so that tests can put a fake in its place. */
export interface MidiBinding {
  readonly Output: new () => MidiOutput;
  readonly Input: new () => MidiInput;
}

interface MidiClient {
  getPortCount(): number;
  getPortName(index: number): string;
  openPort(index: number): void;
  openVirtualPort(name: string): void;
  closePort(): void;
  destroy(): void;
}

export interface MidiOutput extends MidiClient {
  sendMessage(message: Buffer): void;
}

export interface MidiInput extends MidiClient {
  ignoreTypes(sysEx: boolean, timing: boolean, activeSensing: boolean): void;
  on(event: 'messageBuffer', listener: (deltaSeconds: number, message: Buffer) => void): unknown;
}

/**
 * Loads the real binding. Call only after `hardwareTrouble()` found nothing: where ALSA cannot be opened,
 * libasound writes lines of its own straight to file descriptor 2, and they would land on the screen.
 */
export async function loadMidiBinding(): Promise<MidiBinding> {
  return (await import('@julusian/midi')) as unknown as MidiBinding;
}

/** Port names as the binding tells them. */
export function namesOf(client: MidiClient): string[] {
  return Array.from({ length: client.getPortCount() }, (_, index) => client.getPortName(index));
}
