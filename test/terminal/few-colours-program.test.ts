import { describe, expect, it } from 'vitest';
import {
  ATTRIBUTE_BITS,
  BACKGROUND_BITS,
  BACKGROUND_SHIFT,
  FOREGROUND_BITS,
} from '../../src/screen/cells/cell-grid.ts';
import { type ProgramRun, preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

interface Seen {
  readonly run: ProgramRun;
  /** All that was sent, escape sequences and all. */
  readonly sent: () => string;
}

function start(args: readonly string[], environment: Readonly<Record<string, string | undefined>>): Seen {
  const pieces: Uint8Array[] = [];
  const run = startProgram(args, { environment, onOutput: (bytes) => pieces.push(bytes) });
  return { run, sent: () => Buffer.concat(pieces).toString('utf8') };
}

/** Parameters of every SGR (ECMA-48, 8.3.117), sequence for sequence; an empty one is 0. */
function renditions(text: string): number[][] {
  return [...text.matchAll(/\u001b\[([\d;:]*)m/g)].map(([, list]) => list!.split(/[;:]/).map(Number));
}

const isColour = (one: number) => (one >= 30 && one <= 49) || (one >= 90 && one <= 107);
/** 38 and 48 begin a colour of the 256-colour palette or a direct one (ECMA-48; ISO 8613-6). */
const isBeyondSixteen = (one: number) => one === 38 || one === 48;

/** What a person does and must be able to see, whatever the colours. */
async function useScreen(run: ProgramRun, marks: { readonly chosen: string }): Promise<void> {
  await run.untilText(/Harmless +tide/);
  await run.untilText(/playing +\d+:\d/);
  await run.wire.until((wire) => wire.sounding > 0, 'sounding');
  const text = run.text();
  for (const words of ['Acoustic Grand Piano', 'wire', 'peak', '? keys', `${marks.chosen} 1`]) {
    expect(text).toContain(words);
  }
  run.send('m');
  await run.untilText(new RegExp(`^${marks.chosen} 1M`, 'm')); // muting is a letter, not a colour alone
  run.send('h');
  await run.untilText('stuck notes');
  run.send('?');
  await run.untilText('silence everything');
  expectLegible(run);
  run.send('\u001b');
  await run.until((text) => !text.includes('silence everything'), 'the lanes again');
  expectLegible(run);
}

/** No letter has the colour of its ground. */
function expectLegible(run: ProgramRun): void {
  const { glyph, style } = run.grid();
  for (const [at, letter] of glyph.entries()) {
    if (letter <= 0x20) continue;
    const front = style[at]! & FOREGROUND_BITS;
    const ground = (style[at]! & BACKGROUND_BITS) >> BACKGROUND_SHIFT;
    if (front !== 0 || ground !== 0) expect(front, `cell ${at}`).not.toBe(ground);
  }
}

async function leave({ run }: Seen): Promise<void> {
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
}

/** What each terminal is given is told in test/screen/theme; here, that all of the program keeps to it. */
function expectSixteen(sent: string): void {
  const codes = renditions(sent).flat();
  expect(codes.filter(isColour).length).toBeGreaterThan(20);
  expect(codes.filter(isBeyondSixteen)).toEqual([]);
}

function expectAscii(sent: string): void {
  expect(sent.length).toBeGreaterThan(1000);
  expect([...new Set(sent)].filter((letter) => letter.codePointAt(0)! > 0x7e)).toEqual([]);
}

/** What each terminal is given is told in test/screen/theme; here, that all of the program keeps to it. */
describe('the built program where colours are few', () => {
  it('TERM=linux: sixteen colours, and no code of any other', async () => {
    const seen = start([], { TERM: 'linux' });
    await useScreen(seen.run, { chosen: '>' });
    await leave(seen);
    expectSixteen(seen.sent());
  });

  it.each([
    ['asked for', ['--colours', '16', '--ascii'], { TERM: 'xterm-256color' }],
    [
      'by the terminal and a locale that is not UTF-8',
      ['--background', 'light'],
      { TERM: 'xterm', LC_ALL: 'C', LC_CTYPE: undefined, LANG: 'C' },
    ],
  ])('%s: sixteen colours, and not one byte beyond ASCII', async (_, args, environment) => {
    const seen = start(args, environment);
    await useScreen(seen.run, { chosen: '>' });
    await leave(seen);
    expectSixteen(seen.sent());
    expectAscii(seen.sent());
  });

  it('a terminal of 256 colours gets them, and its own letters: the tests can tell', async () => {
    const seen = start([], { TERM: 'xterm-256color' });
    await useScreen(seen.run, { chosen: '▸' });
    await leave(seen);
    expect(renditions(seen.sent()).flat().some(isBeyondSixteen)).toBe(true);
    expect(seen.sent()).toMatch(/[^\u0000-\u007e]/);
  });

  it.each([
    ['NO_COLOR', { TERM: 'xterm-256color', COLORTERM: 'truecolor', NO_COLOR: '1' }],
    ['a terminal without colours', { TERM: 'vt220' }],
  ])('%s: not one colour code', async (_, environment) => {
    const seen = start([], environment);
    await useScreen(seen.run, { chosen: environment.TERM === 'vt220' ? '>' : '▸' });
    // Bold, dim and inverse do what colours would.
    expect(seen.run.grid().style.some((style) => (style & ATTRIBUTE_BITS) !== 0)).toBe(true);
    await leave(seen);
    expect(renditions(seen.sent()).flat().filter(isColour)).toEqual([]);
  });
});
