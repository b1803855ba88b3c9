import { basename, dirname, relative } from 'node:path';
import type { Worker } from 'node:worker_threads';
import type { FileCheck } from '../../check/check-file.ts';
import { startCheckThread } from '../../check/check-thread.ts';
import type { CheckOptions } from '../../core/report/check-options.ts';
import type { SongChoice, SongPlace } from '../../screen/state/song-view.ts';

const VERDICTS: Readonly<Record<FileCheck['verdict'], string>> = {
  fits: 'fits',
  'fits-with-changes': 'fits with changes',
  'does-not-fit': 'does not fit',
  unreadable: 'unreadable',
};

/**
 * The list of songs with length and verdict. A thread of its own looks into the songs, one after another, from
 * the first time the list is asked for: neither the music nor the keys wait for a long list.
 */
export class SongChoices {
  #choices: SongChoice[];
  #worker: Worker | undefined;
  #isClosed = false;

  readonly #options: Partial<CheckOptions>;

  constructor(paths: readonly string[], options: Partial<CheckOptions>) {
    this.#options = options;
    const base = sharedFolder(paths);
    this.#choices = paths.map((path) => ({
      path,
      name: paths.length > 1 ? relative(base, path) : basename(path),
      title: '',
      durationMicros: undefined,
      verdict: '',
      good: undefined,
    }));
  }

  list(): readonly SongChoice[] {
    if (this.#worker === undefined && !this.#isClosed) this.#startLooking();
    return this.#choices;
  }

  /** Where a song stands among them, by its path. */
  placeOf(path: string): SongPlace {
    const at = this.#choices.findIndex((choice) => choice.path === path);
    const { length: of } = this.#choices;
    return {
      number: at + 1,
      of,
      before: this.#choices[at - 1]?.path,
      after: at < 0 ? undefined : this.#choices[at + 1]?.path,
    };
  }

  close(): void {
    this.#isClosed = true;
    void this.#worker?.terminate();
  }

  #startLooking(): void {
    // No rehearsal: it would take the processor while the music begins.
    const worker = startCheckThread({ options: this.#options, rehearse: false });
    this.#worker = worker;
    let next = 0;
    const lookIntoNext = (): void => {
      const choice = this.#choices[next];
      if (choice === undefined) void worker.terminate();
      else worker.postMessage({ index: next++, path: choice.path });
    };
    worker.on('message', ({ index, check }: { index: number; check: FileCheck }) => {
      this.#choices = this.#choices.with(index, {
        ...this.#choices[index]!,
        title: 'song' in check ? check.song.title : '',
        durationMicros: 'song' in check ? check.song.durationSeconds * 1e6 : undefined,
        verdict: VERDICTS[check.verdict],
        good: check.verdict === 'fits',
      });
      lookIntoNext();
    });
    // Without verdicts the list still serves.
    worker.on('error', () => {});
    worker.unref();
    lookIntoNext();
  }
}

function sharedFolder(paths: readonly string[]): string {
  let folder = dirname(paths[0] ?? '.');
  for (const path of paths) {
    while (folder !== '.' && folder !== '/' && !path.startsWith(`${folder}/`)) folder = dirname(folder);
  }
  return folder;
}
