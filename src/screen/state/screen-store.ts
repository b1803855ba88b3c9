import { FIRST_STATE, type ScreenState } from './screen-state.ts';

/** Holds the screen's state for those who draw it: React components subscribe, painters just look. */
export class ScreenStore {
  #state: ScreenState;
  readonly #listeners = new Set<() => void>();

  constructor(state: ScreenState = FIRST_STATE) {
    this.#state = state;
  }

  readonly get = (): ScreenState => this.#state;

  set(state: ScreenState): void {
    if (state === this.#state) return;
    this.#state = state;
    for (const listener of this.#listeners) listener();
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };
}
