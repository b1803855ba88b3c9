import { expect, it } from 'vitest';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

const SIZES = [
  [80, 24],
  [120, 40],
  [40, 12],
] as const;

/**
 * The built program as an emulator shows it, standing at bar 9: what a clock can move is only in the wire's
 * lines, whose figures are left out here. The screens of test/screen/golden have those too, at moments of a
 * clock that stands still.
 */
it('the screen of the built program, paused, at 80x24, 120x40 and 40x12', async () => {
  const run = startProgram();
  await run.untilText(/playing +2:/);
  run.send(' ');
  await run.untilText('paused');
  run.send('9g');
  await run.untilText(/paused +9:1 /);
  // What was said goes after four seconds, and what has just sounded fades.
  await run.until((text) => !text.includes('bar 9:1'), 'an end of words');
  for (const [columns, rows] of SIZES) {
    run.resize(columns, rows);
    // The tempo ends the first line, so its length tells that the screen was laid out for this width.
    await run.until(
      (text) => Math.abs(text.split('\n')[0]!.trimEnd().length - columns) < 5,
      `the screen at ${columns}x${rows}`,
    );
    await run.untilQuiet(400);
    const text = run.text().split('\n').map(withoutFigures).join('\n');
    await expect(`${text}\n`).toMatchFileSnapshot(`golden/program-${columns}x${rows}.screen`);
    expect(run.terminal.scrolledRows()).toBe(0);
  }
});

function withoutFigures(line: string): string {
  return /^ (wire|worst)/.test(line) ? `${line.slice(0, 6).trimEnd()} …` : line.trimEnd();
}
