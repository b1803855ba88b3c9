import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import type { RunInputs } from '../../../src/cli/play/inputs.ts';
import { HeadlessStage } from '../../../src/cli/show/headless-stage.ts';
import { runShow } from '../../../src/cli/show/run-show.ts';
import { virtualShowClock } from '../../../src/cli/show/show-clock.ts';
import { ShowReport } from '../../../src/cli/show/show-report.ts';
import type { Leave, ShowStage, SongTurn } from '../../../src/cli/show/show-stage.ts';
import type { ShowFlags } from '../../../src/cli/show/song-flags.ts';
import type { ShowSet, ShowSong } from '../../../src/core/show/show-set.ts';
import type { ShowState } from '../../../src/core/show/show-state.ts';
import type { ShowMemory } from '../../../src/show/show-files.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';
import { setOf } from '../../core/show/set-of.ts';
import { seeded } from '../../support/seeded.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { FORMAT_0 } from '../../support/worked-examples.ts';

const folder = tempFolder('run-show');
const songFile = (name: string): string => {
  const path = join(folder, name);
  writeFileSync(path, FORMAT_0);
  return path;
};
const GOOD = ['a.mid', 'b.mid', 'c.mid'].map(songFile);
const MISSING = join(folder, 'missing.mid');

const FLAGS = {
  port: [],
  plan: 'packed',
  clock: 'virtual',
  early: 0,
  setupFirst: true,
  settle: 100,
  stuckAfter: 10,
} as unknown as ShowFlags;

class Memory implements ShowMemory {
  trouble: string | undefined;
  state: ShowState | undefined;
  readonly lines: string[] = [];
  readState() {
    return this.state;
  }
  writeState(state: Omit<ShowState, 'schema' | 'set'>) {
    this.state = { schema: 'wirepit-show-state/1', set: 's', ...state };
  }
  journal(text: string) {
    this.lines.push(text);
  }
}

/** A stage that plays nothing: each song takes its time, and is left as the test says. */
class Stage implements ShowStage {
  readonly played: { readonly path: string; readonly from: number; readonly at: Date }[] = [];
  readonly told: string[] = [];
  readonly waits: string[] = [];
  /** Waits that only a key ends, and the seconds of those that end by themselves. */
  readonly gaps: (number | 'key')[] = [];

  constructor(
    readonly clock: ReturnType<typeof virtualShowClock>,
    readonly leave: (nth: number, onPosition: (micros: number) => void, turn: SongTurn) => Leave,
  ) {}

  async play(turn: SongTurn, onPosition: (micros: number) => void): Promise<Leave> {
    const { prepared } = turn;
    const from = prepared.options.startMicros ?? 0;
    this.played.push({ path: prepared.loaded.path, from, at: this.clock.now() });
    this.clock.passed(prepared.options.durationMicros);
    return this.leave(this.played.length, onPosition, turn);
  }
  async wait({ words, seconds, forKey }: Parameters<ShowStage['wait']>[0]): Promise<Leave> {
    this.waits.push(words);
    this.gaps.push(forKey ? 'key' : seconds);
    await this.clock.wait(seconds * 1000);
    return 'ended';
  }
  tell(words: string) {
    this.told.push(words);
  }
}

const NOON = new Date(2026, 10, 26, 12, 0, 0);

async function show(
  set: ShowSet,
  leave: Stage['leave'],
  {
    memory = new Memory(),
    begin = NOON,
    flags = FLAGS,
  }: {
    readonly memory?: Memory;
    readonly begin?: Date;
    readonly flags?: ShowFlags;
  } = {},
  followed?: RunInputs,
) {
  const clock = virtualShowClock(begin);
  const stage = new Stage(clock, leave);
  const report = new ShowReport('s');
  await runShow(
    { path: 's', set, ports: [], map: undefined, files: [] },
    flags,
    memory,
    stage,
    clock,
    report,
    undefined,
    followed,
  );
  return { stage, memory, report: report.document(), clock };
}

const songs = (paths: readonly string[], rest: Partial<ShowSong> = {}) =>
  paths.map((path) => ({ path, ...rest }));
const endAfter =
  (most: number) =>
  (nth: number): Leave =>
    nth < most ? 'ended' : 'quit';

describe('a show', () => {
  test('plays its songs and begins anew the next time', async () => {
    const { stage, memory } = await show(setOf(songs(GOOD)), () => 'ended');
    expect(stage.played.map(({ path }) => path)).toEqual(GOOD);
    expect(memory.state).toMatchObject({ place: { round: 0, turn: 0 }, positionMicros: 0 });
  });

  test('a song that cannot be played is told once, counted, and passed over', async () => {
    const set = setOf(songs([GOOD[0]!, MISSING, GOOD[1]!]), { loops: true });
    const { stage, report, memory } = await show(set, endAfter(6));
    expect(stage.played.map(({ path }) => path)).toEqual([
      GOOD[0],
      GOOD[1],
      GOOD[0],
      GOOD[1],
      GOOD[0],
      GOOD[1],
    ]);
    expect(stage.told).toEqual([`passed over: ${MISSING}: no such file; check the path`]);
    expect(report.skipped).toMatchObject([{ file: MISSING, times: 3 }]);
    expect(memory.lines.filter((line) => line.startsWith('passed over'))).toHaveLength(1);
  });

  test('a song that is there again in a later round is played again', async () => {
    const late = join(folder, 'late.mid');
    const set = setOf(songs([GOOD[0]!, late]), { loops: true });
    const { stage } = await show(set, (nth) => {
      if (nth === 2) songFile('late.mid');
      return nth < 5 ? 'ended' : 'quit';
    });
    expect(stage.played.map(({ path }) => path)).toContain(late);
  });

  test('of which no song can be played is refused, with what to do', async () => {
    await expect(show(setOf(songs([MISSING]), { loops: true }), () => 'ended')).rejects.toThrow(Refusal);
  });

  test('goes on at the song and place where it was cut off, and only there', async () => {
    const memory = new Memory();
    const set = setOf(songs(GOOD, { repeats: 2 }), { loops: true, shuffleSeed: 9 });
    const whole = await show(set, endAfter(30));
    await show(
      set,
      (nth, onPosition) => {
        if (nth === 8) onPosition(1_500_000 + 10_000_000);
        return nth < 8 ? 'ended' : 'quit';
      },
      { memory },
    );
    // The song lasts two seconds: what was kept is a place in it.
    memory.state = { ...memory.state!, positionMicros: 1_500_000 };
    const again = await show(set, endAfter(20), { memory });
    expect(again.stage.played[0]).toMatchObject({ path: whole.stage.played[7]!.path, from: 1_500_000 });
    expect(again.stage.played.slice(1).every(({ from }) => from === 0)).toBe(true);
    expect(again.stage.played.map(({ path }) => path)).toEqual(
      whole.stage.played.slice(7, 27).map(({ path }) => path),
    );
  });

  test('its place is written as a song plays, and no music waits for the disk', async () => {
    const memory = new Memory();
    const seen: (string | undefined)[] = [];
    const look = () => seen.push(memory.state?.song, memory.lines.at(-1));
    await show(
      setOf(songs(GOOD)),
      (nth, onPosition) => {
        look();
        if (nth === 2) throw new Refusal('it cannot be opened', '/dev/ttyS0', 'plug it in');
        onPosition(0);
        look();
        return nth < 3 ? 'ended' : 'quit';
      },
      { memory },
    );
    const [a, b, c] = GOOD;
    expect(seen).toEqual([
      ...[undefined, undefined, a, 'began: a.mid'],
      ...[a, 'played to its end: a.mid'],
      // Passed over for its port: the show has gone past it all the same.
      ...[b, expect.stringMatching(/^passed over: .*cannot be opened/), c, 'began: c.mid'],
    ]);
    expect(memory.lines.filter((line) => line.startsWith('began'))).toEqual(['began: a.mid', 'began: c.mid']);
  });

  test('what befalls a song is in the journal, in its place', async () => {
    const { memory } = await show(setOf(songs([GOOD[0]!])), (_, onPosition, { befell }) => {
      onPosition(0);
      for (const words of ['port x is gone', 'port x is there again']) befell(words);
      return 'ended';
    });
    const a = 'a.mid';
    expect(memory.lines).toEqual([
      `began: ${a}`,
      `port x is gone: ${a}`,
      `port x is there again: ${a}`,
      `played to its end: ${a}`,
    ]);
  });

  test('next and previous by hand', async () => {
    const { stage } = await show(
      setOf(songs(GOOD)),
      (nth) => (['next', 'previous', 'ended'] as const)[nth - 1] ?? 'quit',
    );
    expect(stage.played.map(({ path }) => path)).toEqual([GOOD[0], GOOD[1], GOOD[0], GOOD[1]]);
  });

  test('a song that waits for a key does so, also as the first; unattended its gap is kept, and none is before the first', async () => {
    const set = setOf(songs(GOOD, { before: { seconds: 5, waitsForKey: true } }));
    expect((await show(set, () => 'ended')).stage.gaps).toEqual(['key', 'key', 'key']);
    const flags = { ...FLAGS, unattended: true };
    expect((await show(set, () => 'ended', { flags })).stage.gaps).toEqual([5, 5]);
  });

  test('where there is no key to wait for the gap is kept', async () => {
    const clock = virtualShowClock(NOON);
    const stage = new HeadlessStage({ ...FLAGS, unattended: false } as ShowFlags, clock);
    const told = vi.spyOn(process.stderr, 'write').mockImplementation(() => true);
    try {
      expect(await stage.wait({ words: 'next: b', seconds: 5, forKey: true })).toBe('ended');
      expect(told.mock.calls).toEqual([['next: b\n']]);
    } finally {
      told.mockRestore();
    }
    expect(clock.now().getTime() - NOON.getTime()).toBe(5000);
  });

  test('a section of the day is waited for', async () => {
    const sections = [{ name: 'Evening', fromMinute: 18 * 60, toMinute: 20 * 60 }];
    const { stage } = await show(
      setOf(songs([GOOD[0]!], { section: 0 }), { sections, loops: true }),
      endAfter(1),
    );
    expect(stage.played[0]!.at.getHours()).toBe(18);
    expect(stage.waits[0]).toMatch(/opens in 360 min/);
  });

  test('a disk that is full does not stop it, and is told', async () => {
    const memory = new Memory();
    memory.trouble = 'the disk is full';
    const { stage } = await show(setOf(songs(GOOD)), () => 'ended', { memory });
    expect(stage.played).toHaveLength(3);
    expect(stage.told[0]).toMatch(/not kept: the disk is full/);
  });
});

test('24 hours of 50 songs with faults: every song that can be played has its turn in every round', async () => {
  const chance = seeded(8);
  const paths = Array.from({ length: 50 }, (_, n) => (n % 7 === 3 ? MISSING : songFile(`day-${n}.mid`)));
  const set = setOf(
    paths.map((path) => ({ path, before: { seconds: 150, waitsForKey: chance() < 0.1 } })),
    { loops: true, shuffleSeed: 4 },
  );
  const memory = new Memory();
  const heard: string[] = [];
  const clock = virtualShowClock(NOON);
  const end = NOON.getTime() + 24 * 3600 * 1000;
  // The power is cut now and then; each time the show begins anew from what was kept.
  while (clock.now().getTime() < end) {
    const stage = new Stage(clock, () =>
      clock.now().getTime() >= end || chance() < 0.02 ? 'quit' : 'ended',
    );
    await runShow(
      { path: 's', set, ports: [], map: undefined, files: [] },
      { ...FLAGS, unattended: true },
      memory,
      stage,
      clock,
      new ShowReport('s'),
    );
    const cut = stage.played.map(({ path }) => path);
    // A song that was cut off is played again; it counts once.
    heard.push(...(heard.at(-1) === cut[0] ? cut.slice(1) : cut));
  }
  const playable = paths.filter((path) => path !== MISSING).length;
  expect(heard.length).toBeGreaterThan(10 * playable);
  for (let round = 0; (round + 1) * playable <= heard.length; round++) {
    expect(new Set(heard.slice(round * playable, (round + 1) * playable)).size).toBe(playable);
  }
});

describe('a show that follows a clock', () => {
  const clockThat = (clockHasEnded: boolean): RunInputs => ({
    request: { ears: [] },
    troubles: [],
    clockHasEnded,
    optionsOf: (options) => options,
    async close() {},
  });

  test('plays each song by the clock alone, from its beginning, whatever was cut off', async () => {
    const memory = new Memory();
    memory.state = {
      schema: 'wirepit-show-state/1',
      set: 's',
      place: { round: 0, turn: 1, played: 1 },
      song: GOOD[1]!,
      positionMicros: 1_000_000,
    };
    const flags = { ...FLAGS, follow: 'serial:/dev/ttyS1' };
    const slow = setOf(songs(GOOD, { tempoPercent: 50 }));
    const { stage } = await show(slow, () => 'ended', { memory, flags }, clockThat(false));
    expect(stage.played.map(({ path, from }) => [path, from])).toEqual(
      GOOD.slice(1).map((path) => [path, 0]),
    );
  });

  test('ends when nothing more can come, and does not rush through its songs', async () => {
    const flags = { ...FLAGS, follow: 'stdin' };
    const looped = show(setOf(songs(GOOD)), () => 'ended', { flags }, clockThat(true));
    await expect(looped).rejects.toThrow('nothing more comes from the clock that is followed');
  });
});
