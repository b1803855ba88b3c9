import { expect, test } from 'vitest';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { openTestScreen } from '../../src/screen/ink-frame/open-test-screen.ts';
import { type RunScreenOptions, runScreen } from '../../src/screen/run-screen.tsx';
import { playIntoObserved } from '../support/play-into-observed.ts';
import { screenSong } from '../support/screen-song.ts';
import { stillPlayer } from '../support/still-player.ts';

const NOW = 8_400_000;

async function opened(more: Partial<RunScreenOptions> = {}) {
  const song = screenSong();
  const player = stillPlayer(playIntoObserved(song.timeline!, NOW), NOW);
  const screen = openTestScreen(80, 24);
  const outcome = runScreen({ player, song, screen, theme: { palette: 'none', ascii: false }, ...more });
  await screen.settle();
  return { player, screen, outcome };
}

test('keys reach the player as commands, and q ends the screen', async () => {
  const { player, screen, outcome } = await opened();
  await screen.press('m', 'space', 'z', 'q', 'm');
  expect(player.told).toEqual([
    { kind: 'mute', channel: 0, on: true },
    { kind: 'pause' },
    { kind: 'silence-all' },
    { kind: 'quit' },
  ]);
  expect(await outcome).toEqual({ kind: 'quit' });
  screen.close();
});

test('the end of the player ends the screen', async () => {
  const { player, screen, outcome } = await opened();
  player.end({ kind: 'ended' });
  expect(await outcome).toEqual({ kind: 'ended' });
  screen.close();
});

const SONGS = ['bells.mid', 'harbour.mid'].map((name) => ({
  path: `songs/${name}`,
  name,
  title: '',
  durationMicros: 1,
  verdict: 'fits',
  good: true,
}));

test('started with the list, a song is searched for and chosen', async () => {
  const { screen, outcome } = await opened({ songs: () => SONGS, startWithList: true });
  expect(screen.text()).toContain('bells.mid');
  await screen.press('h', 'a');
  expect(screen.text()).not.toContain('bells.mid');
  await screen.press('enter');
  expect(await outcome).toEqual({ kind: 'song', path: 'songs/harbour.mid' });
  screen.close();
});

test('a song that was refused is the one chosen in the list, and the reason stands below', async () => {
  const refused = { path: 'songs/harbour.mid', why: 'raw:/dev/midi1: there is no such device' };
  const { player, screen, outcome } = await opened({ songs: () => SONGS, startWithList: true, refused });
  expect(screen.text()).toContain('▸ harbour.mid');
  player.now += 60_000_000;
  const lines = screen.text().split('\n');
  expect(lines[21]).toBe(' raw:/dev/midi1: there is no such device');
  await screen.press('enter');
  expect(await outcome).toEqual({ kind: 'song', path: 'songs/harbour.mid' });
  screen.close();
});

test('text pasted into the search counts as typed, cleaned', async () => {
  const { screen } = await opened({ startWithList: true });
  await screen.paste('two\u001b[2J words');
  expect(screen.text()).toContain('search two words_');
  screen.close();
});

test('the screen follows a resize, through too small and back', async () => {
  const { screen } = await opened();
  const before = screen.text();
  screen.resize(30, 5);
  await screen.settle();
  expect(screen.text()).toContain('40x12');
  screen.resize(80, 24);
  await screen.settle();
  expect(screen.text()).toBe(before);
  screen.close();
});

test('a frame is wanted while the music plays, and not for ever once it stands', async () => {
  let needsFrame = () => false;
  const { player, screen } = await opened({
    screen: {
      render: () => {},
      setLive: (ask) => {
        needsFrame = ask;
      },
    },
  });
  expect(needsFrame()).toBe(true);
  player.observed.numbers[1] = 2;
  player.observed.strikes.fill(0);
  expect(needsFrame()).toBe(true);
  player.now = NOW + 60_000_000;
  expect(needsFrame()).toBe(false);
  player.observed.numbers[0]! += 1;
  expect(needsFrame()).toBe(true);
  screen.close();
});

test('a port that went and came back is in the log', async () => {
  const song = screenSong();
  const player = stillPlayer(playIntoObserved(song.timeline!, NOW), NOW);
  const screen = openTestScreen(80, 24);
  let look = () => false;
  const host = {
    render: screen.render,
    setLive: (ask: () => boolean) => {
      look = ask;
    },
  };
  void runScreen({ player, song, screen: host, theme: { palette: 'none', ascii: false } });
  await screen.settle();
  for (const trouble of [0, 1, 2, 2, 0, 0]) {
    player.observed.numbers[Slot.portTrouble] = trouble;
    player.now += 100_000;
    look();
  }
  await screen.press('l');
  const lines = screen.text().split('\n');
  expect(lines.filter((line) => /5:2.*port mock/.test(line))).toEqual([
    expect.stringMatching(/5:2 +port mock is there again/),
    expect.stringMatching(/5:2 +port mock is gone/),
  ]);
  screen.close();
});

test('a release that is only late on the wire is not called lost; one that stays away is', async () => {
  const { player, screen } = await opened();
  player.observed.numbers[1] = 2;
  player.observed.strikes.fill(0);
  player.observed.strikes[60] = 1;
  player.observed.onsetMicros[60] = NOW - 1_000_000;
  player.observed.onsetSongMicros[60] = 8_000_000;
  player.now = NOW + 300_000;
  expect(screen.text()).not.toContain('hangs');
  player.now = NOW + 600_000;
  expect(screen.text()).toContain('C4 on 1 hangs');
  screen.close();
});

test('figures of the wire hold still between two readings, and a backlog in between is not missed', async () => {
  const { player, screen } = await opened();
  const backlog = () => /backlog ([\d.]+)/.exec(screen.text())?.[1];
  expect(backlog()).toBe('0.0');
  player.observed.numbers[Slot.wireFreeMicros] = NOW + 100_000;
  player.now = NOW + 60_000;
  expect(backlog()).toBe('0.0');
  player.now = NOW + 300_000;
  expect(backlog()).toBe('40.0');
  screen.close();
});

test('what goes wrong beside the music is said at once, stays to be seen, and stands in the log', async () => {
  const song = screenSong();
  const player = stillPlayer(playIntoObserved(song.timeline!, NOW), NOW);
  const screen = openTestScreen(80, 24);
  let look = () => false;
  const host = {
    render: screen.render,
    setLive: (ask: () => boolean) => {
      look = ask;
    },
  };
  void runScreen({ player, song, screen: host, theme: { palette: 'none', ascii: false } });
  await screen.settle();
  const trouble = 'the disk is full: record take.mid ends here; what is in it can be read';
  (player.troubles as string[]).push(trouble);
  look();
  await screen.settle();
  expect(screen.text()).toContain(trouble);
  player.observed.strikes.fill(0);
  player.now += 60_000_000;
  look();
  await screen.settle();
  expect(screen.text()).toContain(trouble);
  await screen.press('l');
  expect(screen.text()).toMatch(/the disk is full/);
  expect(screen.text().match(/5:1 +the disk is full/g)).toHaveLength(1);
  screen.close();
});
