import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type PtyRun, type PtyRunOptions, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, meta, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WireReader } from '../support/wire-reader.ts';

const songs = tempFolder('show-songs');
/** Three minutes of long notes each. */
for (const [channel, title] of ['First Air', 'Second Air'].entries()) {
  const events: DeltaEvent[] = [[0, meta(0x03, Buffer.from(title))]];
  for (let beat = 0; beat < 90; beat += 1) {
    events.push(
      [0, [0x90 | channel, 60, 80]],
      [380, [0x80 | channel, 60, 64]],
      [4, [0xb0 | channel, 7, 100]],
    );
  }
  writeFileSync(join(songs, `${title.split(' ')[0]!.toLowerCase()}.mid`), songBytes([events]));
}

let folder: string;
let run: PtyRun | undefined;
beforeEach(() => {
  folder = tempFolder('show-program');
});
afterEach(async () => {
  await run?.close();
});

function startShow(...args: string[]): PtyRun {
  return startShowWith({}, ...args);
}

function startShowWith(options: PtyRunOptions, ...args: string[]): PtyRun {
  const set = join(folder, 'fair.toml');
  const songLines = ['first', 'second'].map((name) => `[[song]]\nfile = "${join(songs, name)}.mid"\n`);
  writeFileSync(set, `[set]\nname = "Fair"\nloop = true\ngap-seconds = 60\n${songLines.join('')}`);
  const environment = {
    ...process.env,
    XDG_RUNTIME_DIR: join(folder, 'run'),
    XDG_STATE_HOME: join(folder, 'state'),
    ...options.environment,
  };
  const port = `file:${join(folder, 'sent.txt')}`;
  run = runInPty(process.execPath, [WIREPIT, 'show', set, '--port', port, ...args], {
    ...options,
    environment,
  });
  return run;
}

/** What the receiver of a file port's record is left with, by a reader that shares nothing with the program. */
function leftBy(name: string): { readonly sounding: number; readonly unrestful: readonly string[] } {
  const bytes = readFileSync(join(folder, name), 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'))
    .flatMap((line) => line.split(' ').slice(1))
    .map((hex) => Number.parseInt(hex, 16));
  const reader = new WireReader();
  reader.read(Uint8Array.from(bytes));
  return { sounding: reader.sounding, unrestful: reader.unrestful };
}

const REST = { sounding: 0, unrestful: [] };

describe('a show on its screen', () => {
  it('lanes and keys as always; settings are kept beside the set; N goes on; each song has a file of its own', async () => {
    const show = startShow();
    await show.untilText(/First Air .*▶ playing/);
    show.send('3m');
    await show.untilText(/\n *3M/);
    show.send('90t');
    await show.untilText(/90 ?%/);
    show.send('W');
    await show.untilText('kept for this song in fair.kept.toml');
    const kept = readFileSync(join(folder, 'fair.kept.toml'), 'utf8');
    expect(kept).toMatch(/tempo = 90\b/);
    expect(kept).toMatch(/mute = \[ ?3 ?\]/);
    show.send('/');
    await show.untilText('here is no list of songs');
    show.send('N');
    await show.untilText(/next: Second Air, in \d+ s/);
    expect(leftBy('sent.txt')).toEqual(REST);
    show.send(' ');
    await show.untilText(/Second Air .*▶ playing/);
    show.send('P');
    await show.untilText(/next: First Air/);
    show.send(' ');
    // As it was kept, in this very show.
    await show.untilText(/First Air .*×0\.90/);
    show.send('q');
    expect(await show.untilExit()).toMatchObject({ code: 0 });
    for (const name of ['sent.txt', 'sent-2.txt', 'sent-3.txt']) expect(leftBy(name), name).toEqual(REST);
  });

  it('--unattended: large letters, keys for visitors, and ctrl-c twice for whoever owns it', async () => {
    const show = startShow('--unattended');
    await show.untilText(/▀▀▀|███|█▄▄▄/);
    await show.untilText('Fair, song 1 of 2');
    show.send('m');
    await show.untilText('at a show:');
    show.send('q');
    show.send(' ');
    await show.until((text) => /space (play|pause)/.test(text) && !text.includes('-2:'), 'a pause');
    show.send('L');
    await show.untilText(/First Air .*‖ paused/);
    show.send(' ');
    await show.untilText(/▶ playing/);
    show.send('\x03');
    await show.untilText('ctrl-c once more ends the show');
    show.send('\x03');
    expect(await show.untilExit()).toMatchObject({ code: 0 });
    expect(leftBy('sent.txt')).toEqual(REST);
  });

  it('on the monitor of a board, as systemd has it there: no locale, TERM=linux; it holds in ASCII and sixteen colours', async () => {
    const pieces: Uint8Array[] = [];
    const nothingSaid = Object.fromEntries(
      Object.keys(process.env)
        .filter((name) => /^(LANG|LC_|COLOR|XDG_|NO_COLOR)/.test(name))
        .map((name) => [name, undefined]),
    );
    const show = startShowWith(
      {
        rows: 25,
        environment: { ...nothingSaid, XDG_STATE_HOME: join(folder, 'state'), TERM: 'linux' },
        onOutput: (bytes) => pieces.push(bytes),
      },
      '--unattended',
    );
    await show.untilText('Fair, song 1 of 2');
    await show.untilText(/#### +#/); // large letters, of what every font has
    show.send('L');
    await show.untilText(/First Air .*> playing/);
    show.send('N');
    await show.untilText(/next: Second Air, in \d+ s/);
    show.send(' ');
    await show.untilText(/Second Air .*> playing/);
    for (let twice = 0; twice < 2; twice += 1) show.send('\x03');
    expect(await show.untilExit()).toMatchObject({ code: 0 });
    const sent = Buffer.concat(pieces).toString('latin1');
    expect([...new Set(sent)].filter((letter) => letter > '~')).toEqual([]);
    const renditions = [...sent.matchAll(/\u001b\[([\d;:]*)m/g)].flatMap(([, list]) => list!.split(/[;:]/));
    // Colours beyond the first sixteen begin with 38 and 48 (ECMA-48, 8.3.117; ISO 8613-6).
    expect(renditions.filter((one) => /^[34]8$/.test(one))).toEqual([]);
    expect(renditions.some((one) => /^(3[1-7]|9[0-7])$/.test(one))).toBe(true);
  });

  it('that cannot be watched from elsewhere says so when it is over, and never across the screen', async () => {
    // Longer than the address of a socket may be (unix(7)).
    const show = startShowWith({ environment: { XDG_RUNTIME_DIR: join(folder, 'x'.repeat(120)) } });
    await show.untilText(/First Air .*▶ playing/);
    show.send('N');
    await show.untilText(/next: Second Air/);
    show.send(' ');
    await show.untilText(/Second Air .*▶ playing/);
    for (const line of show.text().split('\n')) expect(line.slice(1)).not.toMatch(/\S.*this show cannot/);
    expect(show.text().match(/this show cannot/g) ?? []).toHaveLength(1); // in the line that speaks
    show.send('q');
    await show.untilExit();
    expect(show.text()).toContain('this show cannot be watched from elsewhere');
  });

  it('where nothing can be drawn it is told in words, with the same keys, also between two songs', async () => {
    const show = startShowWith({ environment: { TERM: 'dumb' }, rows: 50 });
    await show.untilText(/^First Air, playing$/m);
    show.send('3m');
    await show.untilText(/^channel 3 muted$/m);
    show.send('W');
    await show.untilText(/^kept for this song in fair\.kept\.toml$/m);
    show.send('N');
    await show.untilText(/^next: Second Air, in 60 s; space begins it now$/m);
    show.send(' ');
    await show.untilText(/^Second Air, playing$/m);
    show.send('P');
    await show.untilText(/^next: First Air, in 60 s/m);
    show.send('q');
    expect(await show.untilExit()).toMatchObject({ code: 0 });
    for (const name of ['sent.txt', 'sent-2.txt']) expect(leftBy(name), name).toEqual(REST);
  });

  it('and visitors have their three keys there', async () => {
    const show = startShowWith({ environment: { TERM: 'dumb' }, rows: 50 }, '--unattended');
    await show.untilText(/^First Air, playing$/m);
    show.send('m');
    await show.untilText(/^at a show: space pauses/m);
    show.send('q');
    show.send(' ');
    await show.untilText(/^paused$/m);
    show.send('\x03');
    await show.untilText(/^ctrl-c once more ends the show$/m);
    show.send('\x03');
    expect(await show.untilExit()).toMatchObject({ code: 0 });
    expect(leftBy('sent.txt')).toEqual(REST);
  });

  it('at the end of a serial line of 9,600 baud: large letters, keys and the next song, and no queue before a key', async () => {
    const BYTES_PER_SECOND = 960; // ten bits to a byte
    const show = startShowWith(
      { environment: { TERM: 'vt100', LC_ALL: 'C' }, bytesPerSecond: BYTES_PER_SECOND },
      '--unattended',
    );
    const waiting: number[] = [];
    const press = async (key: string, wanted: RegExp): Promise<void> => {
      waiting.push(show.waiting);
      show.send(key);
      await show.untilText(wanted);
    };
    await show.untilText(/#### +#/);
    await press('m', /at a show:/);
    await press('L', /First Air .*> playing/);
    await press(' ', /First Air .*paused/);
    await press(' ', /First Air .*> playing/);
    await press('N', /next: Second Air/);
    await press(' ', /Second Air .*> playing/);
    // Killed in mid-song: silence.
    show.kill('SIGTERM');
    await show.untilExit();
    expect(leftBy('sent-2.txt')).toEqual(REST);
    // What a key would have to wait for: two seconds of the line are a whole screen.
    expect(Math.max(...waiting)).toBeLessThan(2 * BYTES_PER_SECOND);
  });
});
