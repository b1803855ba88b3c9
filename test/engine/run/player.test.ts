import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import type { Player } from '../../../src/engine/run/player.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer, runVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { startWorkerPlayer } from '../../../src/engine/run/worker-player.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';
import { inFairWeather, judgeWeather, untilPlayer } from '../../support/in-fair-weather.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { denseRows, planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('player');
});

/** A test on the real clock, each trial in a folder of its own. */
const onRealClock = (name: string, trial: () => Promise<void>) =>
  test(name, (context) =>
    inFairWeather(context, () => {
      folder = tempFolder('player');
      return trial();
    }),
  );

function optionsOf(rows: readonly Row[], file: string, more: Partial<PlayerOptions> = {}): PlayerOptions {
  return {
    plan: planOfRows(rows),
    durationMicros: rows.at(-1)![0],
    outputs: [{ port: `file:${join(folder, file)}` }],
    ...more,
  };
}

const linesOf = (file: string) => readFileSync(join(folder, file), 'latin1').split('\n').slice(1, -1);
const bytesOf = (file: string) => linesOf(file).map((line) => line.slice(line.indexOf(' ') + 1));

function readerOf(file: string): WireReader {
  const reader = new WireReader();
  for (const hex of bytesOf(file)) reader.read(hex.split(' ').map((byte) => Number.parseInt(byte, 16)));
  return reader;
}

/** One chord that sounds until told otherwise. */
const LONG_CHORD: Row[] = [
  [0, 0xb0, 64, 127],
  [0, 0x90, 60, 90],
  [0, 0x91, 64, 90],
  [0, 0x92, 67, 90],
  [600_000_000, 0x80, 60, 64],
];

describe('the sending thread', () => {
  onRealClock('sends the same bytes as the virtual clock', async () => {
    const rows: Row[] = [
      [0, 0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
      [0, 0xc0, 5],
      ...denseRows(15).map(([micros, ...bytes]): Row => [micros + 5000, ...bytes]),
      [1_300_000, 0xe0, 0, 64],
    ];
    const real = await startWorkerPlayer(optionsOf(rows, 'real.txt', { settleMicros: 20_000 }));
    expect(await real.ended).toEqual({ kind: 'ended' });
    await real.close();
    judgeWeather(real);
    const virtual = await runVirtualPlayer(optionsOf(rows, 'virtual.txt', { settleMicros: 20_000 }));
    expect(await virtual.ended).toEqual({ kind: 'ended' });
    expect(bytesOf('real.txt')).toEqual(bytesOf('virtual.txt'));
    expect(bytesOf('real.txt').length).toBeGreaterThan(500);
    for (const slot of [Slot.messagesSent, Slot.noteOnsSent, Slot.bytesSent]) {
      expect(real.observed.numbers[slot]).toBe(virtual.observed.numbers[slot]);
    }
  });

  onRealClock('nothing is sent before its moment', async () => {
    const rows: Row[] = Array.from({ length: 40 }, (_, i): Row => [i * 7000, 0x90, 60, i % 2 === 0 ? 90 : 0]);
    const player = await startWorkerPlayer(optionsOf(rows, 'moments.txt'));
    const { numbers } = player.observed;
    // Run time at which the song began. Read twice: the other thread may be between writing the two numbers.
    const origin = (): number => numbers[Slot.positionAtMicros]! - numbers[Slot.positionMicros]!;
    const start = await vi.waitFor(() => {
      expect(numbers[Slot.positionMicros]).toBeGreaterThan(0);
      const seen = origin();
      expect(origin()).toBe(seen);
      return seen;
    }, 20_000);
    await player.ended;
    await player.close();
    judgeWeather(player);
    const times = linesOf('moments.txt').map((line) => Number(line.split(' ')[0]));
    for (const [i, [micros]] of rows.entries()) expect(times[i]! - start).toBeGreaterThanOrEqual(micros - 1);
  });

  onRealClock('a second quit takes nothing of the silence back', async () => {
    const chord = Array.from({ length: 16 }, (_, channel): Row => [0, 0x90 | channel, 60, 90]);
    const player = await startWorkerPlayer(optionsOf([...chord, LONG_CHORD.at(-1)!], 'twice.txt'));
    await untilPlayer(player, () => player.observed.numbers[Slot.noteOnsSent] === 16);
    player.send({ kind: 'quit' });
    await player.close(); // asks again
    const controls = bytesOf('twice.txt').map((hex) => hex.replace(/^B./, 'Bn'));
    for (const mode of ['7B', '78']) {
      const wanted = controls.filter((hex) => new RegExp(`^(Bn )?${mode} 00$`).test(hex));
      expect(wanted).toHaveLength(16); // All Notes Off and All Sound Off on each channel used
    }
    expect(readerOf('twice.txt').sounding).toBe(0);
  });

  onRealClock('obeys at once, and a pause is silent', async () => {
    const player = await startWorkerPlayer(optionsOf(LONG_CHORD, 'pause.txt'));
    await untilPlayer(player, () => player.observed.numbers[Slot.noteOnsSent] === 3);
    player.send({ kind: 'pause' });
    await untilPlayer(player, () => player.observed.sounding.every((keys) => keys === 0));
    expect(player.observed.controller[64]).toBe(0);
    player.send({ kind: 'seek', micros: 0 });
    player.send({ kind: 'play' });
    await untilPlayer(player, () => player.observed.numbers[Slot.noteOnsSent] === 6);
    await player.close();
    await player.close();
    expect(await player.ended).toEqual({ kind: 'quit' });
    expect(readerOf('pause.txt').sounding).toBe(0);
  });

  onRealClock('waits, silent, when it is not to play at once', async () => {
    const player = await startWorkerPlayer(optionsOf(LONG_CHORD, 'waits.txt', { autoPlay: false }));
    player.send({ kind: 'mute', channel: 1, on: true });
    await untilPlayer(player, () => player.observed.muted[1] === 1);
    expect(player.observed.numbers[Slot.messagesSent]).toBe(0);
    player.send({ kind: 'play' });
    await untilPlayer(
      player,
      () => player.observed.numbers[Slot.noteOnsSent] === 2 && player.observed.heldBack[1] === 1,
    );
    await player.close();
  });

  test('a port that cannot be opened is refused, and no thread stays', async () => {
    const options = {
      ...optionsOf(LONG_CHORD, 'x.txt'),
      outputs: [{ port: 'mock' }, { port: `file:${folder}/no/x` }],
    };
    await expect(startWorkerPlayer(options)).rejects.toBeInstanceOf(Refusal);
    await expect(startWorkerPlayer({ ...options, outputs: [{ port: 'nonsense:1' }] })).rejects.toBeInstanceOf(
      Refusal,
    );
  });

  test('a bug in the thread is told, not swallowed', async () => {
    const plan = { ...planOfRows(LONG_CHORD), event: undefined as unknown as Uint32Array };
    const player = await startWorkerPlayer({ ...optionsOf(LONG_CHORD, 'bug.txt'), plan }).then(
      (started: Player) => started.ended,
      (error: Error) => ({ kind: 'fault', error }),
    );
    expect(player).toMatchObject({ kind: 'fault', error: expect.any(Error) });
  });
});

describe('the virtual clock', () => {
  test('stands still until it is advanced, and is exact', async () => {
    const player = await openVirtualPlayer(optionsOf(LONG_CHORD, 'still.txt'));
    player.advanceTo(100_000);
    expect(player.nowMicros()).toBe(100_000);
    expect(player.observed.numbers[Slot.noteOnsSent]).toBe(3);
    expect(player.observed.onsetMicros[60]).toBe(960); // after the pedal's three bytes
    await player.close();
    expect(readerOf('still.txt').sounding).toBe(0);
  });

  test('ten hours without drift: the last note is on the wire at its microsecond', async () => {
    const hours = 10 * 3600 * 1_000_000;
    const rows: Row[] = [];
    for (let at = 0; at <= hours; at += 333_333) rows.push([at, 0x90, 60, 1], [at + 100_001, 0x90, 60, 0]);
    const player = await openVirtualPlayer(optionsOf(rows, 'drift.txt'));
    player.advanceTo(rows.at(-1)![0] + 10);
    expect(player.observed.onsetMicros[60]).toBe(rows.at(-2)![0]);
    expect(player.observed.numbers[Slot.worstHandoverLatenessMicros]).toBe(0);
    await player.close();
  });

  test('obeys commands between two moments', async () => {
    const player = await openVirtualPlayer(optionsOf(LONG_CHORD, 'commands.txt'));
    player.advanceTo(50_000);
    player.send({ kind: 'silence-note', channel: 0, key: 60 });
    player.advanceTo(60_000);
    expect(player.observed.velocity[60]).toBe(0);
    expect(player.observed.velocity[128 + 64]).toBe(90);
    await player.close();
  });
});
