import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { type PtyRun, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, meta, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('watch-program');
const environment = {
  ...process.env,
  XDG_RUNTIME_DIR: join(folder, 'run'),
  XDG_STATE_HOME: join(folder, 'state'),
};
const set = join(folder, 'fair.toml');
const events: DeltaEvent[] = [[0, meta(0x03, Buffer.from('Slow Air'))]];
for (let beat = 0; beat < 400; beat += 1) events.push([0, [0x92, 60, 80]], [96, [0x82, 60, 64]]);
writeFileSync(join(folder, 'air.mid'), songBytes([events]));
writeFileSync(set, '[set]\nname = "Fair"\n[[song]]\nfile = "air.mid"\n');

const running: ChildProcess[] = [];
const opened: PtyRun[] = [];
afterEach(async () => {
  for (const run of opened.splice(0)) await run.close();
  for (const child of running.splice(0)) child.kill('SIGKILL');
});

/** A show in the background, once it plays. */
async function startShow(
  env: NodeJS.ProcessEnv = environment,
): Promise<{ readonly child: ChildProcess; log(): string }> {
  const args = [WIREPIT, 'show', set, '--headless', '--unattended', '--again'];
  const child = spawn(process.execPath, args, { env, stdio: ['ignore', 'ignore', 'pipe'] });
  running.push(child);
  let log = '';
  await new Promise<void>((resolve) => {
    child.stderr!.on('data', (chunk) => {
      log += chunk;
      if (log.includes('playing')) resolve();
    });
  });
  return { child, log: () => log };
}

function watch(...args: string[]): PtyRun {
  const run = runInPty(process.execPath, [WIREPIT, 'watch', ...args], { environment });
  opened.push(run);
  return run;
}

describe('watching a show from other terminals', () => {
  it('lanes move, keys that would change it only say so, and leaving ends nothing', async () => {
    const { child } = await startShow();
    const looking = watch(set);
    await looking.untilText(/Slow Air .*▶ playing/);
    await looking.untilText(/▸ 1|Fair: Slow Air, song 1 of 1/);
    await looking.untilText(/\n +3 .*[\u2801-\u28ff]/);
    looking.send('m');
    await looking.untilText('this screen only looks');
    looking.send('l');
    await looking.untilText('Nothing so far.');
    looking.send('q');
    expect(await looking.untilExit()).toMatchObject({ code: 0 });
    expect(child.exitCode).toBeNull();
  });

  it('--control changes what plays, and everybody sees it; the show is killed: they are told and leave', async () => {
    const { child } = await startShow();
    const [looking, acting] = [watch(), watch('--control')];
    for (const run of [looking, acting]) await run.untilText(/▶ playing/);
    acting.send(' ');
    for (const run of [acting, looking]) await run.untilText('paused');
    acting.send('3m');
    await looking.untilText(/\n *▸? *3M/);
    child.kill('SIGKILL');
    for (const run of [looking, acting]) expect(await run.untilExit()).toMatchObject({ code: 0 });
  });

  it('a show that the system started is found from a login, with its set named and without', async () => {
    const { XDG_RUNTIME_DIR: _, ...bare } = environment;
    await startShow(bare);
    await watch(set).untilText(/Slow Air .*▶ playing/);
    // Without a terminal, in lines.
    const child = spawn(process.execPath, [WIREPIT, 'watch', '--headless'], { env: environment });
    running.push(child);
    let lines = '';
    await new Promise<void>((resolve) => {
      child.stderr!.on('data', (chunk) => {
        lines += chunk;
        if (/playing/.test(lines)) resolve();
      });
    });
    expect(lines).toMatch(/^Fair: Slow Air, song 1 of 1\n/);
  });

  it('no show: one line, exit 2', async () => {
    const nowhere = { ...environment, XDG_RUNTIME_DIR: join(folder, 'nowhere') };
    const { status, stderr } = spawnSync(process.execPath, [WIREPIT, 'watch'], { env: nowhere });
    expect(String(stderr)).toMatch(/^[^\n]*no show runs here[^\n]*wirepit show[^\n]*\n$/);
    expect(status).toBe(2);
  });
});
