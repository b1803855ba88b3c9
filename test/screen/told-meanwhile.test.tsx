import { expect, test } from 'vitest';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { openTestScreen } from '../../src/screen/ink-frame/open-test-screen.ts';
import { type RunScreenOptions, runScreen } from '../../src/screen/run-screen.tsx';
import { playIntoObserved } from '../support/play-into-observed.ts';
import { screenSong } from '../support/screen-song.ts';
import { stillPlayer } from '../support/still-player.ts';

/** A screen at which something happens that nobody asked for: `look` is the look the screen takes at its frame rate. */
async function meanwhile(columns: number, rows: number, more: Partial<RunScreenOptions> = {}) {
  const song = screenSong();
  const screen = openTestScreen(columns, rows);
  const troubles: string[] = [];
  const player = Object.assign(stillPlayer(playIntoObserved(song.timeline!, 8_400_000), 8_400_000), {
    troubles,
  });
  player.observed.strikes.fill(0); // no note hangs: that would be said first
  let look: () => unknown = () => {};
  const host = Object.assign(screen, {
    setLive(needsFrame: () => boolean) {
      look = needsFrame;
    },
  });
  const theme = { palette: 'none', ascii: false } as const;
  void runScreen({ player, song, screen: host, songs: () => [], theme, ...more });
  await screen.settle();
  return {
    player,
    troubles,
    press: screen.press,
    text: async () => {
      look();
      await screen.settle();
      return screen.text();
    },
  };
}

test('a machine that stood still is told once, with its moment, and stands in the log', async () => {
  const { player, press, text } = await meanwhile(80, 24);
  player.observed.numbers[Slot.stalls] = 1;
  expect(await text()).toContain('the machine stood still for a moment; the music was held');
  await text();
  await press('l');
  const lines = (await text()).split('\n').filter((line) => /0:08.*stood still/.test(line));
  expect(lines).toEqual([
    expect.stringMatching(/^ +0:08 +\d+:\d +the machine stood still for a moment; the music was held *$/),
  ]);
});

const TROUBLE = 'the record tonight.txt cannot be written: no space left on the device; the music goes on';

const words = (text: string) => text.replaceAll(/\s+/g, ' ');

test('what goes wrong beside the music stands whole where there is room, for as long as it is so', async () => {
  const { troubles, player, text } = await meanwhile(120, 40);
  troubles.push(TROUBLE);
  expect(words(await text())).toContain(TROUBLE);
  player.now += 60_000_000; // a word is gone by then
  expect(words(await text())).toContain(TROUBLE);
});

test.each([
  [80, 24],
  [40, 24],
  [40, 12],
])(
  'where there is not, at %ix%i, it ends in an ellipsis, and the log has all of it',
  async (columns, rows) => {
    const { troubles, press, text } = await meanwhile(columns, rows);
    troubles.push(TROUBLE);
    expect(await text()).toMatch(/the record tonight\.txt [a-z :;]*…/);
    await press('l');
    expect(words(await text())).toContain(TROUBLE);
  },
);

test('the end of a song is told where the lanes stay open, and only there', async () => {
  for (const staysOpen of [true, false]) {
    const { player, text } = await meanwhile(80, 24, { staysOpen });
    player.observed.numbers[Slot.transport] = 3;
    expect((await text()).includes('the song is over: space plays it again, q quits')).toBe(staysOpen);
  }
});
