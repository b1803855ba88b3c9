import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { checkFile } from '../../../src/check/check-file.ts';
import { checkMany } from '../../../src/check/check-many.ts';
import { answerOf } from '../../support/command-line.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { runWirepit } from '../../support/run-wirepit.ts';
import { songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { checkedSchema, checkSchema, PLAN_FIELDS, unreadableSchema } from '../check-schema.ts';

const folder = tempFolder('check');
const path = (name: string) => join(folder, name);

beforeAll(() => {
  writeFileSync(
    path('well.mid'),
    songBytes([
      [
        [0, [0x90, 60, 64]],
        [96, [0x80, 60, 64]],
      ],
    ]),
  );
  writeFileSync(path('hanging.mid'), songBytes([[[0, [0x90, 60, 64]]]]));
  writeFileSync(path('text.mid'), 'this is no song');
  mkdirSync(path('many/deep'), { recursive: true });
  npmSongs().forEach(({ bytes }, i) => {
    writeFileSync(path(`many/${i}.mid`), bytes);
    writeFileSync(path(`many/deep/${i}.mid`), bytes);
  });
});

describe('exit codes', () => {
  test('0 when all fit, 1 when something is to be mended, 2 when a song cannot be read', async () => {
    expect((await runWirepit(['check', path('well.mid')])).code).toBe(0);
    expect((await answerOf(['check', path('hanging.mid')])).code).toBe(1);
    expect((await answerOf(['check', path('well.mid'), path('text.mid')])).code).toBe(2);
    expect((await answerOf(['check', path('missing.mid')])).code).toBe(2);
    expect((await answerOf(['check'])).code).toBe(2);
    expect((await answerOf(['check', path('well.mid'), '--voices', 'many'])).code).toBe(2);
  });
});

describe('--json', () => {
  test('one object a song, a line each, as the schema says', async () => {
    const { stdout, code } = await answerOf([
      'check',
      '--json',
      path('well.mid'),
      path('text.mid'),
      path('hanging.mid'),
    ]);
    expect(code).toBe(2);
    const checks = stdout
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(checks.map(({ verdict }) => verdict)).toEqual(['fits', 'unreadable', 'fits']);
    for (const check of checks) checkSchema.parse(check);
    expect(unreadableSchema.parse(checks[1]).error.what).not.toBe('');
  });

  test('every package song, with every option, keeps to the schema', () => {
    const option = [{}, { thin: true, tolerance: 0 }, { setupFirst: false, earlyMicros: 20_000, voices: 2 }];
    for (let i = 0; i < npmSongs().length; i++) {
      for (const options of option)
        checkedSchema.parse(JSON.parse(JSON.stringify(checkFile(path(`many/${i}.mid`), options))));
    }
  });

  test('every field of the schema is in the document, and every field of the document is in the schema', () => {
    const [ofSongs] = readFileSync('docs/check-json.md', 'utf8').split('## A set');
    const documented = [...ofSongs!.matchAll(/^\| `([^`]+)`/gm)].map(([, name]) => name!);
    expect([...new Set(documented)].sort()).toEqual(
      [...new Set([...fieldsOf(checkedSchema, ''), 'error', 'wire.thinned'])].sort(),
    );
  });
});

/** Field names as the document writes them: `wire.packed.bytes` is under its plan, so plans are given once. */
function fieldsOf(schema: unknown, prefix: string): string[] {
  let inner = schema as {
    shape?: Record<string, unknown>;
    element?: unknown;
    unwrap?: () => unknown;
    def: { type: string };
  };
  let name = prefix;
  while (inner.def.type === 'nullable' || inner.def.type === 'array') {
    if (inner.def.type === 'array') name += '[]';
    inner = (inner.def.type === 'array' ? inner.element : inner.unwrap!()) as typeof inner;
  }
  if (inner.def.type !== 'object') return [name];
  if (name === 'wire.packed' || name === 'wire.changed') return [name];
  if (/(\.at|At)$/.test(name)) return [name];
  const isThinned = name === 'wire.thinned';
  return Object.entries(inner.shape!)
    .filter(([key]) => !isThinned || !(key in PLAN_FIELDS))
    .flatMap(([key, value]) => fieldsOf(value, name === '' ? key : `${name}.${key}`));
}

describe('a folder', () => {
  test('is searched, checked in threads, and told in a table with the most troubled first', async () => {
    copyFileSync(path('text.mid'), path('many/torn.mid'));
    const { stdout, stderr, code } = await runWirepit(['check', path('many')]);
    rmSync(path('many/torn.mid'));
    expect(code).toBe(2);
    expect(stderr).toBe('');
    const lines = stdout.trimEnd().split('\n');
    expect(lines[0]).toMatch(/^verdict +song/);
    expect(lines[1]).toMatch(/^unreadable .*torn\.mid/);
    expect(lines.at(-1)).toMatch(/^15 songs: .* 1 unreadable$/);
    expect(lines).toHaveLength(1 + 15 + 2);
  });

  test('threads find what one thread finds, in the order of the paths', async () => {
    const paths = npmSongs().flatMap((_, i) => [path(`many/${i}.mid`), path(`many/deep/${i}.mid`)]);
    const seen: string[] = [];
    const threaded = await checkMany(paths, {}, 2, (check) => seen.push(check.file));
    expect(threaded).toEqual(paths.map((one) => checkFile(one, {})));
    expect(seen.toSorted()).toEqual(paths.toSorted());
  });

  test('threads tell how long parts of a song are from the same reading, and why a part is none', async () => {
    const paths = Array.from({ length: 8 }, () => path('many/0.mid'));
    const found: unknown[] = [];
    const told = (_: unknown, lengths: readonly (number | string)[]) => found.push(lengths);
    const [check] = await checkMany(
      paths,
      {},
      2,
      told,
      undefined,
      paths.map(() => [{}, { to: '1s' }, { from: 'no such' }]),
    );
    const whole = check!.verdict === 'unreadable' ? 0 : check!.song.durationSeconds;
    expect(whole).toBeGreaterThan(1);
    expect(found).toEqual(paths.map(() => [whole, 1, expect.stringContaining('no such')]));
  });
});

test('the report of one song names the command that mends it, and that command plays', async () => {
  const chord = (status: number, count: number) =>
    Array.from({ length: count }, (_, i): [number, number[]] => [
      0,
      [status, 40 + i, status & 0x10 ? 64 : 0],
    ]);
  const late = songBytes([
    [
      [96, [0xc0, 5]],
      ...chord(0x90, 24),
      ...chord(0x91, 16),
      [96, [0xc0, 5]],
      ...chord(0x80, 24),
      ...chord(0x81, 16),
    ],
  ]);
  writeFileSync(path('late.mid'), late);
  const { stdout, code } = await answerOf(['check', '--voices', '64', path('late.mid')]);
  expect(code).toBe(1);
  const command = stdout.trimEnd().split('\n').at(-1)!.trim();
  expect(command).toBe(`wirepit play --early 20 ${path('late.mid')}`);
  const played = await answerOf([
    ...command.split(' ').slice(1),
    '--headless',
    '--clock',
    'virtual',
    '--json',
  ]);
  expect(played.code).toBe(0);
  expect(JSON.parse(played.stdout).wire.worstOnsetLatenessMicros).toBeLessThan(20_000);
});
