import { Heard } from '../../core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { PortSlot, PortTrouble } from '../../core/observe/port-state.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { clockWords } from '../state/clock-words.ts';
import type { SongView } from '../state/song-view.ts';
import { portTrouble, portWords } from '../state/troubled-ports.ts';
import type { Scene } from './scene.ts';

const INPUT_WORDS = ['is there again', 'is gone', 'has ended'] as const;
/** A driver that is full for a moment is everyday; a module that holds up the music for this long is not. */
const HELD_UP_MICROS = 500_000;

/** Tells ports that went and came back, and a machine that stood still, so that the log has them when whoever watches was away. */
export class PortWatch {
  #wasLost = false;
  #input = 0;
  #stalls = 0;
  #visitor = 0;
  /** What was last said to be missing of a clock that is followed. */
  #missing = '';
  /** By output: what the log last said of it, one of `PortTrouble`. */
  readonly #told: number[] = [];

  /** What has happened since the last look, in words. */
  look({
    observed,
    listen,
    song,
    nowMicros,
  }: Pick<Scene, 'observed' | 'listen' | 'song' | 'nowMicros'>): string[] {
    const lines = song.ports ? this.#lookAtEach(observed, song.ports, nowMicros) : [];
    const name = cleanText(song.portName);
    const clock = clockWords(observed, song.follows, nowMicros);
    const missing = clock?.isTrouble ? clock.texts[0] : '';
    if (missing !== this.#missing) lines.push(missing === '' ? 'the clock is there again' : missing);
    this.#missing = missing;
    const stalls = observed.numbers[Slot.stalls]!;
    if (stalls > this.#stalls) lines.push('the machine stood still for a moment; the music was held');
    this.#stalls = stalls;
    const isLost = observed.numbers[Slot.portTrouble] === PortTrouble.lost;
    if (isLost !== this.#wasLost && !song.ports) {
      lines.push(`${listen ? 'the output' : `port ${name}`} is ${isLost ? 'gone' : 'there again'}`);
    }
    this.#wasLost = isLost;
    const input = listen?.numbers[Heard.inputTrouble] ?? 0;
    if (input !== this.#input) lines.push(`${name} ${INPUT_WORDS[input] ?? ''}`);
    this.#input = input;
    const visitor = observed.numbers[Slot.visitorInput]!;
    // That it is there as the music begins is no news; that it never came is.
    if (visitor !== this.#visitor && visitor + this.#visitor > 1) {
      lines.push(`${cleanText(song.playAlong?.from ?? 'the keyboard')} ${INPUT_WORDS[visitor - 1] ?? ''}`);
    }
    this.#visitor = visitor;
    return lines;
  }

  #lookAtEach(observed: ObservedState, ports: NonNullable<SongView['ports']>, nowMicros: number): string[] {
    const lines: string[] = [];
    for (const [index, port] of ports.entries()) {
      const told = this.#told[index] ?? PortTrouble.none;
      const trouble = portTrouble(observed, index);
      const since = observed.ports[index]!.numbers[PortSlot.troubleSinceMicros]!;
      if (trouble === told) continue;
      if (trouble === PortTrouble.heldUp && nowMicros - since < HELD_UP_MICROS) continue;
      this.#told[index] = trouble;
      lines.push(`${portWords(port)} ${changeWords(told, trouble)}`);
    }
    return lines;
  }
}

function changeWords(before: number, after: number): string {
  if (after === PortTrouble.lost) return 'is gone';
  if (after === PortTrouble.heldUp) return 'is full and takes nothing';
  return before === PortTrouble.lost ? 'is there again' : 'takes bytes again';
}
