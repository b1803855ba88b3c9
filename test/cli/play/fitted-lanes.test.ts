import { join } from 'node:path';
import { expect, test } from 'vitest';
import { fetchNamedInstruments } from '../../../src/cli/options/instrument-names.ts';
import type { PlayFlags } from '../../../src/cli/options/play-flags.ts';
import { intendPlay } from '../../../src/cli/play/intend-play.ts';
import { loadToPlay } from '../../../src/cli/play/load-to-play.ts';
import { plainSongView } from '../../../src/cli/play/plain-song-view.ts';
import { paintLanes } from '../../../src/screen/lanes/lane-painter.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { ROOT } from '../../support/run-wirepit.ts';
import { painted, sceneWith } from '../../support/scene.ts';

/** The lanes after some seconds of a song, as `play` with these flags has them on 80 columns. */
async function lanesOf(song: string, flags: Partial<PlayFlags>): Promise<string[]> {
  const all = {
    port: [],
    settle: 100,
    countIn: 0,
    tempo: 100,
    transpose: 0,
    ...flags,
  } as unknown as PlayFlags;
  await fetchNamedInstruments([all]);
  const intent = intendPlay(await loadToPlay(join(ROOT, 'songs', song), all), all);
  const view = plainSongView(intent);
  const nowMicros = 4_000_000;
  const observed = playIntoObserved(intent.loaded.timeline, nowMicros);
  const scene = sceneWith({ nowMicros, observed, song: view });
  return painted(80, 16, (grid, area) => paintLanes(grid, area, scene, 1, 1)).lines;
}

const MAP = '1-9=a@lindwurm-eight,10=b@tin-beat-box';

test('play --fit --map: each lane has the name that its port has, and what the song wished for', async () => {
  const lines = await lanesOf('night-ferry.mid', { map: MAP, fit: true });
  // The song has Flute, Orchestral Harp and Acoustic Bass on channels 1 to 3.
  expect(lines[0]).toContain(' Reed Solo (Flute) ');
  expect(lines[1]).toContain(' Slow Strings (Orchestra');
  expect(lines[2]).toContain(' Round Bass (Acoustic Ba');
  expect(lines[9]).toContain(' Tin (Standard Drums) ');
});

test('unfitted each lane says what its port has not', async () => {
  const lines = await lanesOf('night-ferry.mid', { map: MAP });
  expect(lines[0]).toContain(' no Flute ');
  expect(lines[9]).toContain(' Tin (Standard Drums) ');
});

test('play --fit --map: a lane that its port does not hear says why', async () => {
  const lines = await lanesOf('night-ferry.mid', { map: '1-9=a,10=b@parlour-piano', fit: true });
  expect(lines[0]).toContain(' Flute ');
  expect(lines[9]).toContain(' left out: no drums');
});
