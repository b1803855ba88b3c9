import type { ReactNode } from 'react';
import { LiveNews } from '../core/compare/live-words.ts';
import type { ListenState } from '../core/observe/listen-state.ts';
import { transportState } from '../core/observe/song-position.ts';
import type { Player } from '../engine/run/player.ts';
import { App } from './app.tsx';
import { cleanText } from './format/text-cleaning.ts';
import { type KeyEffect, pressKey, pressPointed } from './keys/press-key.ts';
import { PortWatch } from './scene/port-watch.ts';
import type { Scene, SeenAgainst } from './scene/scene.ts';
import { SceneMaker } from './scene/scene-maker.ts';
import { logged } from './state/log-line.ts';
import { FIRST_STATE, type ScreenOutcome } from './state/screen-state.ts';
import { ScreenStore } from './state/screen-store.ts';
import type { SongChoice, SongView } from './state/song-view.ts';
import { type ThemeChoice, themeOf } from './theme/theme.ts';

/** What `openScreen` and `openTestScreen` give: somewhere to show a tree. */
export interface ScreenHost {
  render(element: ReactNode): void;
  /** Asked at the frame rate whether the live parts may look different from the last frame. */
  setLive?(needsFrame: () => boolean): void;
  /** What the person has chosen or typed is to be seen now. */
  requestFrame?(): void;
  repaint?(): void;
  suspend?(): Promise<void>;
}

export interface RunScreenOptions {
  readonly player: Player;
  readonly song: SongView;
  /** For an input that is listened to; `song` is then a `listeningView`. */
  readonly listen?: ListenState;
  /** A song that it is held against. */
  readonly against?: SeenAgainst;
  readonly screen: ScreenHost;
  readonly theme: ThemeChoice;
  /** The songs to choose from; may grow and learn verdicts while the screen is open. */
  readonly songs?: () => readonly SongChoice[];
  /** Opens with the song list, for a start without a song. */
  readonly startWithList?: boolean;
  /** Age (µs) from which any note counts as stuck; ten seconds where nothing is said. */
  readonly stuckAfterMicros?: number;
  /** Begins with large letters. */
  readonly startLarge?: boolean;
  /** Told when large letters come or go. */
  readonly onLarge?: (isLarge: boolean) => void;
  /** The song's end is not the player's: the lanes stay. */
  readonly staysOpen?: boolean;
  /** Keeps the settings in force for this song, and says what became of it. */
  readonly keepSettings?: () => string;
  /** Said when the screen opens. */
  readonly notice?: string;
  /** The song that was chosen last and why it does not play; stands in the list, which opens at that song. */
  readonly refused?: { readonly path: string; readonly why: string };
}

/**
 * Shows the player on the screen until the person leaves or the player ends. Whoever opened player and screen
 * closes them. Choosing another song and quitting have already told the player to quit (with silence).
 */
export async function runScreen(options: RunScreenOptions): Promise<ScreenOutcome> {
  const { player, song, screen } = options;
  const songs = options.songs ?? (() => []);
  const { refused } = options;
  const store = new ScreenStore({
    ...FIRST_STATE,
    row: Math.max(0, refused ? songs().findIndex(({ path }) => path === refused.path) : 0),
    refusal: refused?.why,
    dialog: options.startWithList ? 'songs' : 'none',
    isLarge: options.startLarge ?? false,
    longMicros: options.stuckAfterMicros ?? FIRST_STATE.longMicros,
    said: options.notice === undefined ? undefined : { text: options.notice, atMicros: player.nowMicros() },
  });
  const scenes = new SceneMaker({
    player,
    song,
    listen: options.listen,
    against: options.against,
    songs,
    store,
    theme: themeOf(options.theme),
  });

  const ports = new PortWatch();
  let wasOver = false;
  let told = 0;
  const news = new LiveNews();
  const watchPorts = (): void => {
    const { observed } = player;
    const lines = ports.look({ observed, listen: options.listen, song, nowMicros: player.nowMicros() });
    for (const line of lines) say(line);
    const view = options.against?.view;
    for (const line of view ? news.take(view) : []) say(line);
    const isOver = transportState(observed) === 'ended';
    if (isOver && !wasOver && options.staysOpen) say('the song is over: space plays it again, q quits');
    wasOver = isOver;
    for (; told < player.troubles.length; told += 1) {
      const text = cleanText(player.troubles[told]!);
      const state = logged(store.get(), text, scenes.scene());
      store.set({ ...state, alarm: text, said: { text, atMicros: player.nowMicros() } });
    }
  };

  const say = (text: string): void => {
    const state = logged(store.get(), text, scenes.scene());
    store.set({ ...state, said: { text, atMicros: player.nowMicros() } });
  };

  return new Promise((resolve) => {
    const act = (press: (scene: Scene) => KeyEffect): void => {
      if (store.get().outcome) return;
      const { state, commands, ask } = press(scenes.scene());
      for (const command of commands) player.send(command);
      if (state.isLarge !== store.get().isLarge) options.onLarge?.(state.isLarge);
      store.set(state);
      screen.requestFrame?.();
      if (ask === 'repaint') screen.repaint?.();
      if (ask === 'suspend') void screen.suspend?.();
      if (ask === 'keep-settings') say(options.keepSettings?.() ?? 'nothing is kept here');
      if (state.outcome) resolve(state.outcome);
    };
    void player.ended.then(() => resolve({ kind: 'ended' }));
    screen.setLive?.(() => {
      watchPorts();
      return scenes.needsFrame();
    });
    screen.render(
      <App
        store={store}
        scenes={scenes}
        onKey={(key) => act((scene) => pressKey(key, scene))}
        onPointed={(pointed) => act((scene) => pressPointed(pointed, scene))}
      />,
    );
  });
}
