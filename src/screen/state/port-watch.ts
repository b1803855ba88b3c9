import { Heard } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import type { Scene } from '../scene.ts';
import { cleanText } from '../text-cleaning.ts';

const LOST = 2;
const INPUT_WORDS = ['is there again', 'is gone', 'has ended'] as const;

/** Tells ports that went and came back, so that the log has them when whoever watches was away. */
export class PortWatch {
  #wasLost = false;
  #input = 0;

  /** What has happened since the last look, in words. */
  look({ observed, listen, song }: Pick<Scene, 'observed' | 'listen' | 'song'>): string[] {
    const lines: string[] = [];
    const name = cleanText(song.portName);
    const isLost = observed.numbers[Slot.portTrouble] === LOST;
    if (isLost !== this.#wasLost) {
      lines.push(`${listen ? 'the output' : `port ${name}`} is ${isLost ? 'gone' : 'there again'}`);
    }
    this.#wasLost = isLost;
    const input = listen?.numbers[Heard.inputTrouble] ?? 0;
    if (input !== this.#input) lines.push(`${name} ${INPUT_WORDS[input] ?? ''}`);
    this.#input = input;
    return lines;
  }
}
