import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { SongChoices } from '../../../src/cli/play/song-choices.ts';
import type { CheckOptions } from '../../../src/core/report/check-options.ts';
import { until } from '../../support/pty-pair.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('song-choices');
beforeAll(() => {
  writeFileSync(join(folder, 'one.mid'), songBytes([chord(4)]));
  writeFileSync(join(folder, 'broken.mid'), 'no song at all');
  // 32 notes are 65 bytes with running status (MIDI 1.0, p. 5), 20.8 ms: heard late, unless notes may be early.
  writeFileSync(join(folder, 'crowd.mid'), songBytes([chord(32)]));
});

/** Keys struck together for one beat of half a second. */
function chord(keys: number): DeltaEvent[] {
  const each = (status: number) =>
    Array.from({ length: keys }, (_, i): DeltaEvent => [i > 0 ? 0 : 96, [status, 40 + i, 64]]);
  return [...each(0x90), ...each(0x80)];
}

async function verdictsOf(options: Partial<CheckOptions>) {
  const paths = ['one.mid', 'broken.mid', 'crowd.mid'].map((name) => join(folder, name));
  const choices = new SongChoices(paths, options);
  expect(choices.list().map(({ name, verdict }) => [name, verdict])).toEqual([
    ['one.mid', ''],
    ['broken.mid', ''],
    ['crowd.mid', ''],
  ]);
  await until(() => choices.list().every(({ verdict }) => verdict !== ''));
  const looked = choices.list();
  choices.close();
  return looked;
}

describe('the list of songs', () => {
  test('tells length and verdict of each as they are found', async () => {
    const [one, broken, crowd] = await verdictsOf({ voices: 64 });
    expect(one).toMatchObject({ durationMicros: 1_000_000, verdict: 'fits', good: true });
    expect(broken).toMatchObject({ durationMicros: undefined, verdict: 'unreadable', good: false });
    expect(crowd).toMatchObject({ verdict: 'fits with changes', good: false });
  });

  test('with what was asked for on the command line', async () => {
    const [, , crowd] = await verdictsOf({ voices: 64, earlyMicros: 20_000 });
    expect(crowd).toMatchObject({ verdict: 'fits', good: true });
  });
});
