import { expect, test } from 'vitest';
import { playDay } from '../../bench/show/faulty-day.ts';
import { tempFolder } from '../../support/temp-folder.ts';

test('an hour of a show in which things go wrong: nothing hangs, and every song is accounted for', async () => {
  const day = await playDay({ folder: tempFolder('faulty-day'), hours: 1, seed: 5, songs: 10 });
  expect(day.wrong).toEqual([]);
  expect(day.songs).toBeGreaterThan(10);
  expect(day.whole).toBeGreaterThan(0);
  const came = Object.values(day.faults).filter((times) => times > 0);
  expect(came.length).toBeGreaterThan(5);
});
