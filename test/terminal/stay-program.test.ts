import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

it('--stay keeps the lanes when the song is over; it plays again, and leaves in silence', async () => {
  const song = join(tempFolder('stay'), 'short.mid');
  writeFileSync(
    song,
    songBytes([
      [
        [0, [0xc0, 73]],
        [0, [0x90, 60, 80]],
        [48, [0x80, 60, 64]],
      ],
    ]),
  );
  const run = startProgram(['--stay'], { song });
  await run.until((text) => /ended.*Flute.*the song is over: space plays it again/s.test(text), 'the end');
  expect(run.wire.reader.noteOns).toHaveLength(1);
  run.send(' ');
  await run.wire.until(({ noteOns, sounding }) => noteOns.length === 2 && sounding === 0, 'the second time');
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
  expect(run.wire.reader.noteOns).toHaveLength(2);
  expect(run.wire.reader.sounding).toBe(0);
});
