import { basename, dirname, relative } from 'node:path';
import type { SongChoice } from '../screen/song-view.ts';
import { loadSong } from './load-song.ts';
import type { PlayFlags } from './play-options.ts';
import { preparePlay } from './prepare-play.ts';
import { songViewOf } from './song-view-of.ts';

/**
 * The list of songs with length and verdict. Songs are looked into one at a time between other work, so that a
 * long list never holds up the screen.
 */
export class SongChoices {
  #choices: SongChoice[];
  #next = 0;
  #timer: NodeJS.Timeout | undefined;

  constructor(
    paths: readonly string[],
    private readonly flags: PlayFlags,
  ) {
    const base = paths.length > 1 ? sharedFolder(paths) : '';
    this.#choices = paths.map((path) => ({
      path,
      name: base === '' ? basename(path) : relative(base, path),
      durationMicros: undefined,
      verdict: '',
      good: undefined,
    }));
  }

  list(): readonly SongChoice[] {
    if (this.#timer === undefined && this.#next < this.#choices.length) this.#lookIntoNext();
    return this.#choices;
  }

  close(): void {
    clearTimeout(this.#timer);
    this.#next = this.#choices.length;
  }

  #lookIntoNext(): void {
    this.#timer = setTimeout(() => {
      const at = this.#next++;
      const choice = this.#choices[at];
      if (choice !== undefined)
        this.#choices = this.#choices.with(at, { ...choice, ...verdictOf(choice.path, this.flags) });
      this.#timer = undefined;
      if (this.#next < this.#choices.length) this.#lookIntoNext();
    }, REST_MS);
    this.#timer.unref();
  }
}

function verdictOf(path: string, flags: PlayFlags): Pick<SongChoice, 'durationMicros' | 'verdict' | 'good'> {
  try {
    const { from: _from, loop: _loop, ...anySong } = flags;
    const { durationMicros, plannedWorst } = songViewOf(preparePlay(loadSong(path), anySong));
    const late = plannedWorst?.latenessMicros ?? 0;
    const good = late <= HEARD_MICROS;
    return { durationMicros, verdict: good ? 'fits' : `${Math.round(late / 1000)} ms late`, good };
  } catch {
    return { durationMicros: undefined, verdict: 'unreadable', good: false };
  }
}

function sharedFolder(paths: readonly string[]): string {
  let folder = dirname(paths[0]!);
  for (const path of paths) {
    while (folder !== '.' && folder !== '/' && !path.startsWith(`${folder}/`)) folder = dirname(folder);
  }
  return folder;
}

const HEARD_MICROS = 20_000;
const REST_MS = 20;
