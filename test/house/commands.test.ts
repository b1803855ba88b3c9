import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { CommanderError } from 'commander';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { TASKS } from '../../src/cli/help/task-table.ts';
import { fetchNamedInstruments } from '../../src/cli/options/instrument-names.ts';
import type { OptionRow } from '../../src/cli/options/option-row.ts';
import { OPTION_TABLE } from '../../src/cli/options/option-table.ts';
import { seatsOf } from '../../src/cli/options/outputs.ts';
import { usageRefusal } from '../../src/cli/options/usage-refusal.ts';
import { wirepitProgram } from '../../src/cli/program.ts';
import { PORT_KINDS } from '../../src/ports/port-kinds.ts';
import { portNamed } from '../../src/ports/port-named.ts';
import { answerOf } from '../support/command-line.ts';
import { ROOT } from '../support/run-wirepit.ts';
import { songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';

/**
 * Every command line of the book, the README and the help is run: without a screen, on the virtual clock, in a folder that has
 * what the lines name. What wants hardware or a running show is taken apart by the parser alone, its port names too.
 */
const PAGES = [
  'README.md',
  'songs/README.md',
  ...readdirSync(join(ROOT, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .map((name) => `docs/${name}`),
];
const textOf = (page: string): string => readFileSync(join(ROOT, page), 'utf8');

interface CommandLine {
  readonly page: string;
  readonly line: string;
  /** In a line of text: a command's bare name is only its name there. */
  readonly isInline: boolean;
}

/** Fenced blocks without a language, then what stands between backticks in running text. */
function linesOf(page: string): CommandLine[] {
  const text = textOf(page);
  const fenced = [...text.matchAll(/^```\n([\s\S]*?)^```$/gm)].flatMap(([, block]) => block!.split('\n'));
  const running = text.replace(/^```[\s\S]*?^```$/gm, '');
  const inline = [...running.matchAll(/`(?:eval "\$\()?(wirepit [^`)]*)/g)].map(([, line]) => line!);
  const found = [
    ...fenced.map((line) => ({
      line: line.replace(/^(?:\w+: +|TERM=\w+ )(?=wirepit)/, ''),
      isInline: false,
    })),
    ...inline.map((line) => ({ line, isInline: true })),
  ];
  return found
    .filter(({ line }) => /^wirepit( |$)/.test(line))
    .map(({ line, isInline }) => ({
      page,
      isInline,
      line: line.replace(/ {3,}[(#].*| +# .*|"$/, '').trim(),
    }));
}

const HELP: readonly CommandLine[] = TASKS.flatMap(({ commands }) =>
  commands.flatMap(({ name, examples }) =>
    examples.map(({ line }) => ({ page: `wirepit ${name} --help`, line, isInline: false })),
  ),
);
const ALL = [...PAGES.flatMap(linesOf), ...HELP];
const UNIQUE = [...new Map(ALL.map((each) => [each.line, each])).values()];

const wordsOf = (line: string): string[] => line.split(' ').slice(1);
/** Stands for something a person puts in. */
const isForm = (line: string): boolean => /[…<]/.test(line);
/** Ports of nothing but this program and its files. */
const OWN_PORTS = new Set(['mock', 'file', 'stdin']);
const REAL_PORTS = PORT_KINDS.map(({ name }) => name).filter((name) => !OWN_PORTS.has(name));
const PORT = new RegExp(`^(?:[A-Za-z]\\w*=)?((?:${REAL_PORTS.join('|')}):.*)$`);
const wantsHardware = (words: readonly string[]): boolean => words.some((word) => PORT.test(word));
/** Wants a show that runs beside it: test/terminal/watch-program.test.ts. */
const wantsShow = ([command]: readonly string[]): boolean => command === 'watch';
const NAMES = new Set(TASKS.flatMap(({ commands }) => commands.map(({ name }) => name)));
/** A heading or a sentence that names a command, perhaps with an option, and nothing to work on. */
const isName = ({ line, isInline }: CommandLine): boolean =>
  isInline && wordsOf(line).every((word, at) => (at === 0 ? NAMES.has(word) : word.startsWith('--')));
const hasToRun = (each: CommandLine): boolean => {
  const words = wordsOf(each.line);
  return !isForm(each.line) && !isName(each) && !wantsHardware(words) && !wantsShow(words);
};

/** The parser's complaint; undefined where it takes the line. No command is begun. */
async function complaintOf(line: string): Promise<string | undefined> {
  const program = wirepitProgram();
  for (const command of [program, ...program.commands]) {
    command.action(() => {}).configureOutput({ writeOut: () => {} });
    command.exitOverride((error) => {
      throw error.exitCode === 0 ? error : usageRefusal(error, command);
    });
  }
  const words = wordsOf(line.replace(/<[^>]*>/g, 'x')).filter((word) => word !== '…');
  try {
    await program.parseAsync(words, { from: 'user' });
    return undefined;
  } catch (error) {
    return error instanceof CommanderError ? undefined : (error as Error).message;
  }
}

/** The same without a screen, and in no time. */
function quickly(words: readonly string[]): string[] {
  const [command] = words;
  const isPlay = command === undefined || command === 'play' || !NAMES.has(command);
  if (words.includes('--new') || (!isPlay && command !== 'show')) return [...words];
  // With nothing named, a list is shown to choose from.
  const songs = words.length === 0 ? ['songs'] : words;
  const headless = words.includes('--headless') ? [] : ['--headless'];
  return [...songs, ...headless, ...(words.includes('--clock') ? [] : ['--clock', 'virtual'])];
}

/** Files that are not there before the line has run. */
function writtenBy(words: readonly string[]): string[] {
  const out = words.filter((_, at) => ['--out', '--record'].includes(words[at - 1] ?? ''));
  return words.includes('--new') ? [...out, words.at(-1)!] : out;
}

const sandbox = tempFolder('commands');
const home = join(sandbox, 'home');
const own = process.cwd();

/** What the lines name: whatever a person would have by then. */
beforeAll(async () => {
  mkdirSync(home, { recursive: true });
  process.chdir(home);
  const song = songBytes([
    [
      [0, [0xc0, 0]],
      ...Array.from({ length: 8 }, (_, at) => [
        [at === 0 ? 0 : 72, [0x90, 60 + (at % 5), 80]] as const,
        [72, [0x80, 60 + (at % 5), 0]] as const,
      ]).flat(),
    ],
  ]);
  for (const file of ['song.mid', 'songs/tide-study.mid', 'songs/tangled-nets.mid', 'take.mid']) {
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, song);
  }
  for (const set of ['set.toml', 'harvest.toml']) writeFileSync(set, '[[song]]\nfile = "song.mid"\n');
  writeFileSync('mine.toml', '[instrument]\nname = "Mine"\nvoices = 8\n');
  writeFileSync(
    'box.midnam',
    '<?xml version="1.0" encoding="UTF-8"?>\n<MIDINameDocument><Author>us</Author><MasterDeviceNames><Manufacturer>us</Manufacturer><Model>Box</Model><CustomDeviceMode Name="Box"/></MasterDeviceNames></MIDINameDocument>\n',
  );
  cpSync(join(ROOT, 'docs/boards'), 'docs/boards', { recursive: true });
  cpSync(join(ROOT, 'docs/boards/hayloft-80.toml'), 'board.toml');
  for (const args of [
    'song.mid --headless --clock virtual --record heard.log',
    'song.mid --headless --clock virtual --record take.log',
    'prepare song.mid --board board.toml --out song.bin',
    'prepare song.mid --board board.toml --out song.hex',
    'prepare song.mid --board board.toml --wav-rate 11025 --out take-1.wav',
  ]) {
    const { code, stderr } = await answerOf(args.split(' '));
    expect([args, code, stderr.includes('wirepit:')]).toEqual([args, 0, false]);
  }
  cpSync('take-1.wav', 'take-2.wav');
});
afterAll(() => process.chdir(own));

describe('every command line of the book and of the help', () => {
  it('there are many, and some of each sort', () => {
    expect(UNIQUE.filter(hasToRun).length).toBeGreaterThan(40);
    expect(UNIQUE.filter(({ line }) => wantsHardware(wordsOf(line))).length).toBeGreaterThan(15);
  });

  test.each(UNIQUE.filter(hasToRun))('$line ($page)', async ({ line }) => {
    const words = quickly(wordsOf(line));
    const written = writtenBy(words).map((file) => ({
      file,
      before: existsSync(file) && readFileSync(file),
    }));
    for (const { file } of written) rmSync(file, { force: true });
    const { code, stdout, stderr } = await answerOf(words);
    // 1: done, and something was found.
    expect([0, 1], `${stdout}${stderr}`).toContain(code);
    for (const { file, before } of written) {
      expect(existsSync(file), file).toBe(true);
      if (before) writeFileSync(file, before);
      else rmSync(file);
    }
  });

  it('where a map names instruments, each hears a channel it gets, and drums reach those that have them', async () => {
    const lines = UNIQUE.filter(({ line }) => /--map \S*@/.test(line) && !isForm(line));
    expect(lines.length).toBeGreaterThan(2);
    for (const { line } of lines) {
      const map = /--map (\S+)/.exec(line)![1]!;
      await fetchNamedInstruments([{ map }]);
      for (const { instrument, channels } of seatsOf([], map, undefined)) {
        const { channels: hears, drums } = instrument;
        expect(
          hears.some((channel) => channels.includes(channel)),
          `${instrument.name}: ${line}`,
        ).toBe(true);
        const isReached = drums.channels.length === 0 || drums.channels.some((one) => channels.includes(one));
        expect(isReached, `drums of ${instrument.name}: ${line}`).toBe(true);
      }
    }
  });

  it('those for hardware, and the names of commands in running text, are taken by the parser', async () => {
    for (const each of UNIQUE.filter((line) => !hasToRun(line))) {
      const told = await complaintOf(each.line);
      if (isName(each)) expect(told ?? 'is missing', each.line).toMatch(/named|missing/);
      else expect(told, `${each.line} in ${each.page}`).toBeUndefined();
      for (const word of wordsOf(each.line)) {
        const port = PORT.exec(word)?.[1];
        if (port !== undefined) expect(portNamed(port), port).toBeDefined();
      }
    }
  });
});

describe('the help', () => {
  it('has every command under one task, in lines that fit', async () => {
    const names = TASKS.flatMap(({ commands }) => commands.map(({ name }) => name));
    const all = wirepitProgram().commands.map((command) => command.name());
    expect([...names].sort()).toEqual([...all].sort());
    const { stdout } = await answerOf(['--help']);
    for (const name of names) expect(stdout).toMatch(new RegExp(`^  ${name} +\\S`, 'm'));
    for (const line of stdout.split('\n').slice(0, -2)) expect(line.length, line).toBeLessThanOrEqual(80);
    const book = stdout.trim().split('\n').at(-1)!;
    expect(existsSync(book), book).toBe(true);
  });

  it.each([...NAMES])('%s: its examples are of this command', async (name) => {
    const { stdout } = await answerOf([name, '--help']);
    const [, examples] = stdout.split('\nExamples:\n');
    const lines = [...examples!.matchAll(/^ {2}(wirepit.*?)(?: {2}.*)?$/gm)].map(([, line]) => line!);
    expect(lines.length).toBeGreaterThan(0);
    for (const line of lines) {
      const [first] = wordsOf(line);
      expect(NAMES.has(first!) ? first : 'play').toBe(name);
    }
  });
});

describe('the book', () => {
  const linksOf = (page: string): string[] =>
    [
      ...textOf(page)
        .replace(/^```[\s\S]*?^```$/gm, '')
        .matchAll(/\]\(([^)\s]+)\)/g),
    ]
      .map(([, link]) => link!)
      .filter((link) => !/^[a-z]+:/.test(link));

  it('begins in docs/README.md, and every page is reached from there', () => {
    const reached = new Set(['docs/README.md']);
    for (const page of reached) {
      for (const link of linksOf(page)) {
        const to = normalize(join(dirname(page), link.split('#')[0]!));
        if (to.endsWith('.md') && to.startsWith('docs/')) reached.add(to);
      }
    }
    expect(PAGES.filter((page) => page.startsWith('docs/') && !reached.has(page))).toEqual([]);
  });

  it.each(PAGES)('%s: every link leads somewhere, to a heading where it names one', (page) => {
    for (const link of linksOf(page)) {
      const [path, place] = link.split('#');
      const to = path === '' ? page : normalize(join(dirname(page), path!));
      expect(existsSync(join(ROOT, to)), `${link} in ${page}`).toBe(true);
      if (place === undefined) continue;
      const headings = [...textOf(relative('.', to)).matchAll(/^#+ (.*)$/gm)].map(([, words]) =>
        words!
          .toLowerCase()
          .replace(/[^\w\- ]/g, '')
          .replaceAll(' ', '-'),
      );
      expect(headings, `${link} in ${page}`).toContain(place);
    }
  });

  /** Of other programs that a page shows. */
  const FOREIGN = new Set([
    'user',
    'now',
    'global',
    'silent',
    'prefix',
    'device',
    'max-semi-space-size',
    'help',
  ]);

  it.each(PAGES)('%s: names no option that does not exist', (page) => {
    const rows: readonly OptionRow[] = OPTION_TABLE;
    const known = new Set(
      rows.flatMap(({ name, habit }) =>
        habit === true ? [name, name.startsWith('no-') ? name.slice(3) : `no-${name}`] : [name],
      ),
    );
    const named = [...textOf(page).matchAll(/(?<![\w-])--([a-z][a-z-]*[a-z])/g)].map(([, name]) => name!);
    expect(named.filter((name) => !known.has(name) && !FOREIGN.has(name))).toEqual([]);
  });
});
