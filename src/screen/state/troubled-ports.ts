import type { ObservedState } from '../../core/observe/observed-state.ts';
import { PortSlot } from '../../core/observe/port-state.ts';
import { cleanText } from '../format/text-cleaning.ts';
import type { SongView } from './song-view.ts';

/** Which outputs something is to be said of, with the verbs that go with one or several. */
export interface TroubledPorts {
  readonly words: string;
  readonly are: 'is' | 'are';
  readonly take: 'takes' | 'take';
  readonly them: 'it' | 'them';
}

/** The outputs in this trouble (one of `PortTrouble`); where there is only one output, that one. */
export function troubledPorts(observed: ObservedState, song: SongView, trouble: number): TroubledPorts {
  const { ports } = song;
  const those = (ports ?? []).filter((_, index) => portTrouble(observed, index) === trouble);
  if (those.length <= 1) {
    const words = those[0] ? portWords(those[0]) : `port ${cleanText(song.portName)}`;
    return { words, are: 'is', take: 'takes', them: 'it' };
  }
  const names = those.map(({ name }) => name);
  const words = `ports ${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
  return { words, are: 'are', take: 'take', them: 'them' };
}

/** One of several outputs: its short name first, since a line may be cut at its end. */
export function portWords({ name, port }: { readonly name: string; readonly port: string }): string {
  return `port ${name} (${cleanText(port)})`;
}

/** One of `PortTrouble`. */
export function portTrouble({ ports }: ObservedState, index: number): number {
  return ports[index]?.numbers[PortSlot.trouble] ?? 0;
}
