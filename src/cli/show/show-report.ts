import type { Leave } from './show-stage.ts';

/** What `show --json` prints at the end. A stable surface: docs/show-json.md. */
export interface ShowDocument {
  readonly schema: 'wirepit-show/1';
  readonly set: string;
  /** In order; the last `MOST` of a long day. */
  readonly played: readonly PlayedSong[];
  readonly playedCount: number;
  /** Songs that could not be played, each once, with the reason told last. */
  readonly skipped: readonly { readonly file: string; readonly why: string; readonly times: number }[];
}

interface PlayedSong {
  readonly file: string;
  /** ISO 8601. */
  readonly from: string;
  readonly to: string;
  readonly how: Leave;
}

/** A day of short songs, and no more memory than that. */
const MOST = 2000;

export class ShowReport {
  #played: PlayedSong[] = [];
  #count = 0;
  readonly #skipped = new Map<string, { why: string; times: number }>();

  readonly #set: string;

  constructor(set: string) {
    this.#set = set;
  }

  played(file: string, from: Date, to: Date, how: Leave): void {
    this.#count += 1;
    this.#played.push({ file, from: from.toISOString(), to: to.toISOString(), how });
    if (this.#played.length > MOST) this.#played.shift();
  }

  /** @returns whether this was not said before */
  skipped(file: string, why: string): boolean {
    const before = this.#skipped.get(file);
    this.#skipped.set(file, { why, times: (before?.times ?? 0) + 1 });
    return before?.why !== why;
  }

  get hasSkipped(): boolean {
    return this.#skipped.size > 0;
  }

  document(): ShowDocument {
    return {
      schema: 'wirepit-show/1',
      set: this.#set,
      played: this.#played,
      playedCount: this.#count,
      skipped: [...this.#skipped].map(([file, { why, times }]) => ({ file, why, times })),
    };
  }
}
