import type { ListenState } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { findStuckNotes, STUCK_LIMITS, type StuckNote } from '../../core/observe/stuck-notes.ts';
import type { Player } from '../../engine/run/player.ts';
import type { ScreenStore } from '../state/screen-store.ts';
import type { SongChoice, SongView } from '../state/song-view.ts';
import type { Theme } from '../theme/theme.ts';
import { lyricLinesOf } from './lyric-lines.ts';
import type { Scene, SeenAgainst } from './scene.ts';
import { songsMatching } from './song-search.ts';
import { VoicesInUse } from './voices-in-use.ts';
import { backlogMicros, type WireFigures, wireFigures } from './wire-load.ts';

/** Stuck notes are looked for this often: no eye is quicker, and it costs nothing then. */
const STUCK_LOOK_MICROS = 200_000;
/** Figures that change more often than this cannot be read, and cost bytes on a slow link. */
const WIRE_READ_MICROS = 250_000;
/** The slowest thing that fades by itself is a message, after four seconds. */
const FADES_MICROS = 5_000_000;
/** Painters of one frame share a scene; the next frame comes later than this. */
const FRAME_MICROS = 5_000;

export interface SceneSources {
  readonly player: Pick<Player, 'observed' | 'nowMicros'>;
  readonly song: SongView;
  readonly listen?: ListenState | undefined;
  readonly against?: SeenAgainst | undefined;
  /** The songs to choose from, as far as they are known by now. */
  readonly songs: () => readonly SongChoice[];
  readonly store: ScreenStore;
  readonly theme: Theme;
}

/** Puts together what a frame is painted from, and remembers what only a comparison of frames can tell. */
export class SceneMaker {
  readonly #sources: SceneSources;
  readonly #lyricLines;
  readonly #voices: VoicesInUse | undefined;
  readonly #heldBackAtMicros = new Float64Array(16).fill(-1);
  readonly #heldBackCount = new Uint32Array(16);
  readonly #scroll = { lastRow: 0 };
  #stuck: readonly StuckNote[] = [];
  #lookedAtMicros = Number.NEGATIVE_INFINITY;
  #scene: Scene | undefined;
  #suspects: ReadonlySet<number> = new Set();
  #wire: WireFigures | undefined;
  #wireAtMicros = 0;
  #mostBacklogMicros = 0;
  #revision = -1;
  #changedMicros = 0;

  constructor(sources: SceneSources) {
    this.#sources = sources;
    this.#voices = sources.song.knowsInstrument ? new VoicesInUse(sources.song) : undefined;
    this.#lyricLines = lyricLinesOf(sources.song.timeline?.lyrics ?? []);
    this.#heldBackCount.set(sources.player.observed.heldBack);
  }

  get theme(): Theme {
    return this.#sources.theme;
  }

  /** How far the open text scrolls, for whoever lays it out. */
  get scroll(): Scene['scroll'] {
    return this.#scroll;
  }

  get song(): SongView {
    return this.#sources.song;
  }

  /** The scene now. */
  scene(): Scene {
    const { player, song, listen, against, songs, store, theme } = this.#sources;
    const { observed } = player;
    const nowMicros = player.nowMicros();
    const state = store.get();
    const last = this.#scene;
    if (last && last.state === state && nowMicros - last.nowMicros < FRAME_MICROS) return last;
    this.#watchHeldBack(nowMicros);
    this.#scene = {
      observed,
      song,
      listen,
      against,
      state,
      theme,
      nowMicros,
      wire: this.#readWire(nowMicros),
      stuck: this.#lookForStuck(nowMicros),
      songs: state.dialog === 'songs' ? songsMatching(songs(), state.search) : [],
      scroll: this.#scroll,
      lyricLines: this.#lyricLines,
      heldBackAtMicros: this.#heldBackAtMicros,
      voices: this.#voices?.count(observed, nowMicros),
    };
    return this.#scene;
  }

  /** True while a frame could differ from the last one: the music runs, or something shown still ages or fades. */
  needsFrame(): boolean {
    const { observed } = this.#sources.player;
    const nowMicros = this.#sources.player.nowMicros();
    const revision = observed.numbers[Slot.revision]!;
    if (revision !== this.#revision) {
      this.#revision = revision;
      this.#changedMicros = nowMicros;
    }
    const state = this.#sources.store.get();
    // The list of songs learns their lengths and verdicts while it is open.
    if (state.dialog === 'songs' || this.#stuck.length > 0) return true;
    if (transportState(observed) === 'playing') return true;
    const said = state.said?.atMicros ?? Number.NEGATIVE_INFINITY;
    return nowMicros - Math.max(this.#changedMicros, said) < FADES_MICROS;
  }

  #lookForStuck(nowMicros: number): readonly StuckNote[] {
    if (nowMicros - this.#lookedAtMicros < STUCK_LOOK_MICROS) return this.#stuck;
    const { player, song, store } = this.#sources;
    const limits = { ...STUCK_LIMITS, longMicros: store.get().longMicros };
    const found = findStuckNotes(player.observed, song.notes, nowMicros, limits);
    // The releases of a pause take their time on the wire: a lost one is believed at the second look.
    this.#stuck = found.filter(({ cause, channel, key }) => {
      return cause !== 'lost-off' || this.#suspects.has(channel * 128 + key);
    });
    this.#suspects = new Set(found.map(({ channel, key }) => channel * 128 + key));
    this.#lookedAtMicros = nowMicros;
    return this.#stuck;
  }

  #readWire(nowMicros: number): WireFigures {
    const { player, song } = this.#sources;
    this.#mostBacklogMicros = Math.max(this.#mostBacklogMicros, backlogMicros(player.observed, nowMicros));
    if (this.#wire && nowMicros - this.#wireAtMicros < WIRE_READ_MICROS) return this.#wire;
    this.#wire = wireFigures(player.observed, song, nowMicros, this.#mostBacklogMicros);
    this.#wireAtMicros = nowMicros;
    this.#mostBacklogMicros = 0;
    return this.#wire;
  }

  #watchHeldBack(nowMicros: number): void {
    const { heldBack } = this.#sources.player.observed;
    for (let channel = 0; channel < 16; channel += 1) {
      if (heldBack[channel] === this.#heldBackCount[channel]) continue;
      this.#heldBackCount[channel] = heldBack[channel]!;
      this.#heldBackAtMicros[channel] = nowMicros;
    }
  }
}
