import { createObservedState } from '../core/observe/create-observed-state.ts';
import { App } from './app.tsx';
import type { RunScreenOptions, ScreenHost } from './run-screen.tsx';
import { SceneMaker } from './scene-maker.ts';
import { FIRST_STATE } from './state/screen-state.ts';
import { ScreenStore } from './state/screen-store.ts';
import { themeOf } from './theme/theme.ts';

/** What shows the opening: it draws before it returns. */
export interface OpeningHost extends ScreenHost {
  drawNow(): void;
}

/** The screen of a song that does not play yet, at once: what makes the song ready takes a while. */
export function showOpening(
  screen: OpeningHost,
  { song, theme }: Pick<RunScreenOptions, 'song' | 'theme'>,
): void {
  const player = {
    observed: createObservedState(),
    nowMicros: () => 0,
    send() {},
    ended: new Promise<never>(() => {}),
    close: async () => {},
  };
  const store = new ScreenStore(FIRST_STATE);
  const scenes = new SceneMaker({
    player,
    song,
    listen: undefined,
    songs: () => [],
    store,
    theme: themeOf(theme),
  });
  screen.render(<App store={store} scenes={scenes} onKey={() => {}} />);
  screen.drawNow();
}
