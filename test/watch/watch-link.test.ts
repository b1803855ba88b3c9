import { existsSync, statSync, writeFileSync } from 'node:fs';
import { connect, createServer, type Socket } from 'node:net';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, onTestFinished, test, vi } from 'vitest';
import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import type { Command } from '../../src/core/schedule/command.ts';
import { RunClock } from '../../src/engine/clock/run-clock.ts';
import type { Player } from '../../src/engine/run/player.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { socketPath, socketPathsOf, socketsThere } from '../../src/watch/socket-folder.ts';
import { Frame, frameOf } from '../../src/watch/watch-frames.ts';
import { WatchHost } from '../../src/watch/watch-host.ts';
import { WatchLink } from '../../src/watch/watch-link.ts';
import { until } from '../support/pty-pair.ts';
import { tempFolder } from '../support/temp-folder.ts';

const VERSION = '0.0.0-test';
const SONG = { path: '/songs/a.mid', flags: { mute: [3] }, words: 'Day: A, song 1 of 2' };

let runtime: string;
const before = process.env.XDG_RUNTIME_DIR;
beforeEach(() => {
  runtime = tempFolder('watch');
  process.env.XDG_RUNTIME_DIR = runtime;
  // Whoever runs this may have shows of their own.
  vi.stubEnv('XDG_STATE_HOME', join(runtime, 'state'));
});
afterEach(() => {
  vi.unstubAllEnvs();
  if (before === undefined) delete process.env.XDG_RUNTIME_DIR;
  else process.env.XDG_RUNTIME_DIR = before;
});

function fakePlayer() {
  // An hour into its run, so that a clock begun anew would be found out.
  const clock = new RunClock(Number(process.hrtime.bigint()) - 3600e9);
  const sent: Command[] = [];
  const troubles: string[] = [];
  const player: Player = {
    observed: createObservedState(),
    troubles,
    nowMicros: () => clock.nowMicros(),
    send: (command) => void sent.push(command),
    ended: new Promise(() => {}),
    close: async () => {},
  };
  return { player, sent, troubles };
}

async function openHost(name = 'day'): Promise<WatchHost> {
  const host = await WatchHost.open({ socketPath: socketPath(name), show: 'Day', version: VERSION });
  onTestFinished(() => host.close());
  return host;
}

async function attach(control = false, version = VERSION): Promise<WatchLink> {
  const link = await WatchLink.attach(socketPath('day'), version, control);
  onTestFinished(() => link.close());
  return link;
}

describe('a show that can be watched', () => {
  test('its socket is for its user alone, found by name, and gone with it', async () => {
    const host = await openHost();
    const path = socketPath('day');
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect(statSync(dirname(path)).mode & 0o777).toBe(0o700);
    expect(socketsThere()).toEqual([path]);
    host.close();
    expect(existsSync(path)).toBe(false);
  });

  test('one that was started where there is no runtime folder is found from a login that has one', async () => {
    const state = tempFolder('watch-state');
    vi.stubEnv('XDG_STATE_HOME', state);
    delete process.env.XDG_RUNTIME_DIR;
    await openHost();
    process.env.XDG_RUNTIME_DIR = runtime;
    expect(socketsThere()).toEqual([join(state, 'wirepit', 'day.socket')]);
    expect(socketPathsOf('day')).toEqual([socketPath('day'), join(state, 'wirepit', 'day.socket')]);
  });

  test('a song that is on says when its first picture is there', async () => {
    const host = await openHost();
    const { player } = fakePlayer();
    player.observed.numbers[Slot.tempoScale] = 0.75;
    host.begin(player, SONG);
    const watched = (await (await attach()).nextSong())!;
    await watched.pictured;
    expect(watched.player.observed.numbers[Slot.tempoScale]).toBe(0.75);
  });

  test('a socket that a killed show has left is taken over; one of a running show is not', async () => {
    const path = socketPath('day');
    await openHost('other'); // makes the folder
    const dead = createServer();
    await new Promise<void>((resolve) => dead.listen(path, resolve));
    await expect(openHost()).rejects.toThrow(/playing already/);
    await new Promise((resolve) => dead.close(resolve));
    writeFileSync(path, '');
    await openHost();
    expect((await attach()).show).toBe('Day');
  });

  test('a path too long for a socket is told', async () => {
    process.env.XDG_RUNTIME_DIR = join(runtime, 'x'.repeat(120));
    await expect(openHost()).rejects.toThrow(/too long/);
  });

  test('nobody there: one line, and what to do', async () => {
    const refusal = await attach().catch((error: unknown) => error);
    expect(refusal).toBeInstanceOf(Refusal);
    expect((refusal as Refusal).message).toMatch(/no show answers here \(ENOENT\)/);
  });

  test('another version is told so', async () => {
    await openHost();
    await expect(attach(false, '9.9.9')).rejects.toThrow(
      /the show runs wirepit 0\.0\.0-test, and this is 9\.9\.9/,
    );
  });
});

describe('watching', () => {
  test('the picture follows what is observed, on the same clock', async () => {
    const host = await openHost();
    const { player } = fakePlayer();
    player.observed.velocity[60] = 100;
    host.begin(player, SONG);
    const watched = (await (await attach()).nextSong())!;
    expect(watched.song).toMatchObject(SONG);
    await until(() => watched.player.observed.velocity[60] === 100);
    player.observed.velocity[61] = 90;
    player.observed.numbers[Slot.positionMicros] = 5e6;
    await until(() => watched.player.observed.velocity[61] === 90);
    expect(watched.player.observed.numbers[Slot.positionMicros]).toBe(5e6);
    expect(Math.abs(watched.player.nowMicros() - player.nowMicros())).toBeLessThan(10e6);
  });

  test('song after song, and the words between', async () => {
    const host = await openHost();
    host.tell('next: A');
    const link = await attach();
    await until(() => link.words === 'next: A');
    const first = fakePlayer();
    host.begin(first.player, SONG);
    const one = (await link.nextSong())!;
    first.troubles.push('the record is full');
    await until(() => one.player.troubles.length === 1);
    host.songOver();
    const second = fakePlayer();
    second.player.observed.velocity[5] = 5;
    host.begin(second.player, { ...SONG, path: '/songs/b.mid' });
    expect(await one.player.ended).toEqual({ kind: 'ended' });
    const two = (await link.nextSong())!;
    expect(two.song.path).toBe('/songs/b.mid');
    await until(() => two.player.observed.velocity[5] === 5);
    expect(two.player.observed.velocity[60]).toBe(0);
    host.close();
    expect(await two.player.ended).toEqual({ kind: 'ended' });
    expect(await link.nextSong()).toBeUndefined();
  });

  test('whoever stops reading is not waited for, and has the newest picture when he reads again', async () => {
    const host = await openHost();
    const { player } = fakePlayer();
    host.begin(player, SONG);
    const raw = connect(socketPath('day'));
    onTestFinished(() => void raw.destroy());
    raw.pause();
    raw.write(frameOf(Frame.hello, JSON.stringify({ schema: 'wirepit-watch/1', version: VERSION })));
    await until(() => host.watching === 1);
    const link = await attach();
    const { player: picture } = (await link.nextSong())!;
    for (let n = 1; n <= 40; n += 1) {
      player.observed.onsetMicros.fill(n); // 16 kB at a time, so that the paused one's socket is soon full
      player.observed.onsetSongMicros.fill(n);
      await until(() => picture.observed.onsetMicros[2047] === n);
    }
    // What waits for the slow one is what a socket holds, and no picture for each of ours.
    const bytes = bytesUntilEnd(raw);
    host.close();
    expect(await bytes).toBeLessThan(20 * 33_000);
  });

  test('only who asks for control commands, and nobody ends the show by leaving', async () => {
    const host = await openHost();
    const { player, sent } = fakePlayer();
    host.begin(player, SONG);
    const looking = (await (await attach()).nextSong())!;
    const acting = (await (await attach(true)).nextSong())!;
    looking.player.send({ kind: 'pause' });
    acting.player.send({ kind: 'mute', channel: 3, on: true });
    acting.player.send({ kind: 'program-override', channel: 2, program: undefined });
    await until(() => sent.length === 2);
    expect(sent).toEqual([
      { kind: 'mute', channel: 3, on: true },
      { kind: 'program-override', channel: 2, program: undefined },
    ]);
    acting.player.send({ kind: 'quit' });
    expect(await acting.player.ended).toEqual({ kind: 'quit' });
    await (await attach()).nextSong();
    expect(sent).toHaveLength(2);
  });

  test('bytes that are no frames, commands that are none: that one is dropped or not heard, others watch on', async () => {
    const host = await openHost();
    const { player, sent } = fakePlayer();
    host.begin(player, SONG);
    const { player: picture } = (await (await attach()).nextSong())!;
    const raw = connect(socketPath('day'));
    const isGone = new Promise((resolve) => raw.once('close', resolve));
    raw.on('error', () => {});
    raw.write(
      frameOf(Frame.hello, JSON.stringify({ schema: 'wirepit-watch/1', version: VERSION, control: true })),
    );
    const command = Buffer.alloc(24);
    command.writeDoubleLE(Number.NaN, 8);
    raw.write(frameOf(Frame.command, command));
    command.writeDoubleLE(99, 0);
    raw.write(frameOf(Frame.command, command));
    raw.write(frameOf(Frame.command, Buffer.alloc(7)));
    const quit = Buffer.alloc(24);
    quit.writeDoubleLE(17, 0);
    raw.write(frameOf(Frame.command, quit));
    raw.write(Buffer.alloc(64, 0xff));
    await isGone;
    player.observed.velocity[1] = 1;
    await until(() => picture.observed.velocity[1] === 1);
    expect(sent).toEqual([]);
  });
});

function bytesUntilEnd(socket: Socket): Promise<number> {
  let bytes = 0;
  socket.on('data', (chunk) => {
    bytes += chunk.length;
  });
  socket.resume();
  return new Promise((resolve) => socket.once('end', () => resolve(bytes)));
}
