import type { Key } from './key.ts';
import type { Mouse } from './mouse.ts';

export interface InputListener {
  readonly key?: (key: Key) => void;
  /** Text pasted in one go, raw: clean it before it is shown. */
  readonly paste?: (text: string) => void;
  readonly mouse?: (mouse: Mouse) => void;
}

export type TypedInput =
  | { readonly kind: 'key'; readonly key: Key }
  | { readonly kind: 'paste'; readonly text: string }
  | { readonly kind: 'mouse'; readonly mouse: Mouse };

/** What was typed goes to all who listen. What comes while nobody does waits for the first who will. */
export class InputListeners {
  readonly #listeners = new Set<InputListener>();
  readonly #waiting: TypedInput[] = [];

  /** Returns the function that ends it. */
  readonly listen = (listener: InputListener): (() => void) => {
    this.#listeners.add(listener);
    for (const input of this.#waiting.splice(0)) this.take(input);
    return () => {
      this.#listeners.delete(listener);
    };
  };

  take(input: TypedInput): void {
    if (this.#listeners.size === 0) {
      if (this.#waiting.length < MOST_WAITING) this.#waiting.push(input);
      return;
    }
    for (const listener of [...this.#listeners]) {
      if (input.kind === 'key') listener.key?.(input.key);
      else if (input.kind === 'paste') listener.paste?.(input.text);
      else listener.mouse?.(input.mouse);
    }
  }
}

/** More than anyone types while a program starts. */
const MOST_WAITING = 64;
