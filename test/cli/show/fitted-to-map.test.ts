import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { fittedSong } from '../../../src/cli/fit/fitted-song.ts';
import { type ShowFlags, songFlags } from '../../../src/cli/show/song-flags.ts';
import { watchedSong } from '../../../src/cli/watch/watched-view.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { profileNamed } from '../../../src/profile/profile-named.ts';
import { setOf } from '../../core/show/set-of.ts';
import { answerOf } from '../../support/command-line.ts';
import { ROOT } from '../../support/run-wirepit.ts';
import { readStream } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** The note-ons of a `file:` port, from the bytes of the wire that stand in it (docs/file-port.md). */
function noteOns(path: string): { readonly channel: number; readonly key: number }[] {
  const lines = readFileSync(path, 'latin1').trimEnd().split('\n').slice(1);
  const bytes = lines.flatMap((line) => line.split(' ').slice(1)).map((byte) => Number.parseInt(byte, 16));
  return readStream([Uint8Array.from(bytes)])
    .messages.filter((text) => /^9. .. (?!00)/.test(text))
    .map((text) => ({
      channel: Number.parseInt(text[1]!, 16) + 1,
      key: Number.parseInt(text.slice(3, 5), 16),
    }));
}

test('whoever watches reads the song as it was fitted', async () => {
  const map = '1-9=a@lindwurm-eight,10=b@tin-beat-box';
  const path = join(ROOT, 'songs/night-ferry.mid');
  const read = { path: 's', set: setOf([]), ports: [], map, files: [] };
  const [song] = setOf([{ path, fits: true }]).songs;
  const flags = songFlags(song!, read, {
    port: [],
    settle: 100,
    early: 0,
    setupFirst: true,
  } as unknown as ShowFlags);
  const { loaded } = await watchedSong({ path, flags, words: '', originNanos: 0 });
  const fitted = fittedSong(loadSong(path), { map });
  expect(loaded.timeline.columns.count).toBe(fitted.loaded.timeline.columns.count);
  expect(loaded.timeline.columns.count).not.toBe(loadSong(path).timeline.columns.count);
});

test('a set with map and fit: each port gets its part, fitted to its own instrument', async () => {
  const run = async (fit: boolean) => {
    const folder = tempFolder('show-fit-map');
    const [a, b] = [join(folder, 'a.txt'), join(folder, 'b.txt')];
    const set = join(folder, 'duo.toml');
    writeFileSync(
      set,
      `[set]\nports = ["a=file:${a}", "b=file:${b}"]\nmap = "1-9=a@lindwurm-eight,10=b@tin-beat-box"\nfit = ${fit}\n[[song]]\nfile = "${ROOT}/songs/lamplight-parade.mid"\n`,
    );
    const { code } = await answerOf(['show', set, '--headless', '--clock', 'virtual']);
    expect(code).toBe(0);
    return { one: noteOns(a), box: noteOns(b) };
  };
  const { channels } = profileNamed('lindwurm-eight').instrument;
  const { drums } = profileNamed('tin-beat-box').instrument;
  const isHeard = ({ channel }: { channel: number }) => channels.includes(channel - 1);
  const isStruck = ({ channel, key }: { channel: number; key: number }) =>
    channel === 10 && drums.keys.has(key);
  const written = await run(false);
  expect(written.one.every(isHeard)).toBe(false);
  expect(written.box.every(isStruck)).toBe(false);
  const fitted = await run(true);
  expect(fitted.one.every(isHeard)).toBe(true);
  expect(fitted.box.every(isStruck)).toBe(true);
  expect(fitted.one.length).toBeGreaterThan(100);
  expect(fitted.box.length).toBeGreaterThan(100);
});
