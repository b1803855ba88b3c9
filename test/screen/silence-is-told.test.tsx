import { describe, expect, test } from 'vitest';
import { openTestScreen } from '../../src/screen/ink-frame/open-test-screen.ts';
import { runScreen } from '../../src/screen/run-screen.tsx';
import type { Dialog } from '../../src/screen/state/screen-state.ts';
import { playIntoObserved } from '../support/play-into-observed.ts';
import { screenSong } from '../support/screen-song.ts';
import { stillPlayer } from '../support/still-player.ts';

/** Each view: the key that opens it, words that only it shows, and the key that silences in it. */
const VIEWS: Readonly<Record<Dialog | 'large', readonly [open: string, shows: string, silence: string]>> = {
  none: ['esc', 'Harbour Lights', 'z'],
  help: ['?', '── keys', 'z'],
  stuck: ['h', '── stuck notes', 'z'],
  lane: ['enter', '── channel 1', 'z'],
  songs: ['/', '── songs', 'ctrl-x'],
  log: ['l', '── what was done', 'z'],
  large: ['L', 'Harbour', 'z'],
};

describe('silencing everything is told in every view, though a note hangs and a loop runs', () => {
  for (const [columns, rows] of [
    [40, 12],
    [40, 13],
    [80, 24],
    [120, 40],
    [200, 60],
  ] as const) {
    test.each(Object.entries(VIEWS))(`%s at ${columns}x${rows}`, async (_, [open, shows, silence]) => {
      const song = screenSong();
      const screen = openTestScreen(columns, rows);
      const player = stillPlayer(playIntoObserved(song.timeline!, 8_400_000), 8_400_000);
      void runScreen({ player, song, screen, songs: () => [], theme: { palette: 'none', ascii: false } });
      await screen.settle();
      await screen.press(open);
      if (open !== 'L') expect(screen.text()).toContain(shows);
      expect(screen.text()).not.toContain('silenced everything');
      await screen.press(silence);
      const text = screen.text();
      screen.close();
      expect(text).toContain('silenced everything');
    });
  }
});
