import { createHash } from 'node:crypto';
import { appendFileSync, mkdirSync, readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { basename, join } from 'node:path';
import { decodeShowState, encodeShowState, type ShowState } from '../core/show/show-state.ts';
import { writeSafely } from '../files/write-safely.ts';

/** Where a show's place and journal go. */
export interface ShowMemory {
  /** Why the last state or journal line was not written; undefined while all is well. */
  readonly trouble: string | undefined;
  readState(): ShowState | undefined;
  writeState(state: Omit<ShowState, 'schema' | 'set'>): void;
  journal(text: string, when: Date): void;
}

/** For a day that is only tried out. */
export const NO_MEMORY: ShowMemory = {
  trouble: undefined,
  readState: () => undefined,
  writeState() {},
  journal() {},
};

/** Where a show keeps its place and its journal, one of each for every set (XDG Base Directory Specification 0.8). */
export class ShowFiles implements ShowMemory {
  readonly statePath: string;
  readonly journalPath: string;
  /** Why the last state or journal line was not written; undefined while all is well. */
  trouble: string | undefined;

  readonly #setPath: string;

  constructor(setPath: string, folder = stateFolder()) {
    this.#setPath = setPath;
    const name = showFileName(setPath);
    this.statePath = join(folder, `${name}.state.json`);
    this.journalPath = join(folder, `${name}.journal`);
    this.#attempt(() => mkdirSync(folder, { recursive: true, mode: 0o700 }));
  }

  /** Where the show stopped; undefined where it has not begun, or was another set's. */
  readState(): ShowState | undefined {
    try {
      const state = decodeShowState(readFileSync(this.statePath, 'utf8'));
      return state?.set === this.#setPath ? state : undefined;
    } catch {
      return undefined;
    }
  }

  writeState(state: Omit<ShowState, 'schema' | 'set'>): void {
    const text = encodeShowState({ schema: 'wirepit-show-state/1', set: this.#setPath, ...state });
    this.#attempt(() => writeSafely(this.statePath, text));
  }

  /** A line of what happened, with the moment in local time. */
  journal(text: string, when: Date): void {
    this.#attempt(() => appendFileSync(this.journalPath, `${localTime(when)}  ${text}\n`));
  }

  /** A full disk is no reason to stop the music: it is remembered, and told. */
  #attempt(write: () => void): void {
    try {
      write();
      this.trouble = undefined;
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }
}

/** What a show's own files are called. Two sets of one name in different folders are two shows. */
export function showFileName(setPath: string): string {
  const mark = createHash('sha256').update(setPath).digest('hex').slice(0, 8);
  return `${basename(setPath).replace(/\.toml$/i, '')}-${mark}`;
}

function stateFolder(): string {
  return join(process.env.XDG_STATE_HOME || join(homedir(), '.local', 'state'), 'wirepit');
}

function localTime(when: Date): string {
  const two = (value: number) => String(value).padStart(2, '0');
  const day = `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())}`;
  return `${day} ${two(when.getHours())}:${two(when.getMinutes())}:${two(when.getSeconds())}`;
}
