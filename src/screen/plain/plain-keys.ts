import { keyName } from '../../core/midi/key-names.ts';
import { findStuckNotes, STUCK_LIMITS, stuckCauseText } from '../../core/observe/stuck-notes.ts';
import type { Player } from '../../engine/run/player.ts';
import type { ActionScene, TerminalRequest } from '../actions/action.ts';
import type { ActionName } from '../actions/actions.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { KEY_TABLE, type KeyRow, rowFor } from '../keys/key-table.ts';
import { pressKey } from '../keys/press-key.ts';
import { laneName } from '../lanes/lane-name.ts';
import { FIRST_STATE, type ScreenOutcome, type ScreenState } from '../state/screen-state.ts';
import type { SongView } from '../state/song-view.ts';

export interface PlainAnswer {
  /** One line, never empty. */
  readonly line: string;
  /** What only the owner of the terminal can do. */
  readonly ask?: TerminalRequest;
  /** Somebody leaves, for another song of a set perhaps. */
  readonly outcome?: ScreenOutcome;
}

/** The keys of the screen without one: the same table and the same actions, and a line of answer to each key. */
export class PlainKeys {
  #state: ScreenState;

  readonly #player: Pick<Player, 'observed' | 'nowMicros' | 'send'>;
  readonly #song: SongView;

  constructor(
    player: Pick<Player, 'observed' | 'nowMicros' | 'send'>,
    song: SongView,
    longMicros = STUCK_LIMITS.longMicros,
  ) {
    this.#player = player;
    this.#song = song;
    this.#state = { ...FIRST_STATE, longMicros };
  }

  /** Sends what the key asks of the music. */
  press(key: string): PlainAnswer {
    const scene = this.#scene();
    const row = rowFor(key, 'none');
    const inWords = row && (this.#song.turn && IN_A_SET.has(row.action) ? undefined : IN_WORDS[row.action]);
    if (inWords) {
      this.#state = { ...this.#state, digits: '' };
      return { line: cleanText(inWords(scene)) };
    }
    const effect = pressKey(key, scene);
    for (const command of effect.commands) this.#player.send(command);
    const isSaid = effect.state.said !== scene.state.said;
    // There is nothing to open, so the keys keep the meaning that they have among the lanes.
    this.#state = { ...effect.state, dialog: 'none' };
    const line = isSaid ? effect.state.said!.text : this.#unsaid(row);
    const { outcome } = effect.state;
    return {
      line: cleanText(line),
      ...(effect.ask === undefined ? {} : { ask: effect.ask }),
      ...(outcome === undefined ? {} : { outcome }),
    };
  }

  /** On a screen one would see it. */
  #unsaid(row: KeyRow | undefined): string {
    if (row === undefined || row.action === 'erase-digit') {
      const { digits } = this.#state;
      return digits === '' ? 'that key does nothing; ? tells the keys' : `number ${digits}`;
    }
    return CHOOSES_LANE.has(row.action) ? laneWords(this.#scene()) : row.help;
  }

  #scene(): Omit<ActionScene, 'count'> & { readonly count: undefined } {
    const player = this.#player;
    const song = this.#song;
    const nowMicros = player.nowMicros();
    const limits = { ...STUCK_LIMITS, longMicros: this.#state.longMicros };
    const stuck = findStuckNotes(player.observed, song.notes, nowMicros, limits);
    const { observed } = player;
    return { state: this.#state, observed, song, stuck, songs: [], nowMicros, count: undefined };
  }
}

const CHOOSES_LANE: ReadonlySet<ActionName> = new Set(['lane-up', 'lane-down', 'choose-lane']);

/** The keys that a person needs first; docs/keys.md has them all. */
const FIRST_KEYS: readonly ActionName[] = [
  'play-pause',
  'silence-all',
  'quit',
  'mute',
  'solo',
  'all-heard',
  'lane-down',
  'lane-detail',
  'stuck-list',
  'silence-note',
  'bar-back',
  'bar-on',
  'go-to-bar',
  'slower',
  'faster',
];

/** There is a next song then, and no list of them. */
const IN_A_SET: ReadonlySet<ActionName> = new Set(['next-song', 'last-song', 'song-list']);

const IN_ORDER = 'without a screen songs play in the order in which they are named';

/** What a view shows on the screen, in a line. */
const IN_WORDS: Readonly<Partial<Record<ActionName, (scene: ActionScene) => string>>> = {
  help: () => {
    const rows = FIRST_KEYS.map((action) => KEY_TABLE.find((row) => row.action === action)!);
    return `${rows.map(({ keys, help }) => `${keys[0]}: ${help}`).join('; ')}; docs/keys.md has them all`;
  },
  'stuck-list': ({ stuck }) =>
    stuck.length === 0
      ? 'no note is stuck'
      : stuck
          .map((note) => `${keyName(note.key)} on channel ${note.channel + 1}: ${stuckCauseText(note)}`)
          .join('; '),
  'lane-detail': laneWords,
  log: ({ state }) => {
    const last = state.log.at(-1);
    return last === undefined ? 'nothing was done yet' : `last done at ${last.where}: ${last.text}`;
  },
  'song-list': () => 'without a screen songs are named on the command line',
  'next-song': () => IN_ORDER,
  'last-song': () => IN_ORDER,
  close: ({ state }) => (state.digits === '' ? 'nothing is open' : 'number forgotten'),
  repaint: () => 'there is no screen to draw',
};

function laneWords({ state: { lane }, observed, song }: Omit<ActionScene, 'count'>): string {
  const name = laneName(observed, lane, song.orchestra[lane]!, song.wishes);
  const sounding = observed.sounding[lane]!;
  return [
    `channel ${lane + 1}: ${name === '' ? 'nothing yet' : name}`,
    `${sounding} ${sounding === 1 ? 'note sounds' : 'notes sound'}`,
    ...(observed.muted[lane] ? ['muted'] : []),
    ...(observed.soloed[lane] ? ['solo'] : []),
  ].join(', ');
}
