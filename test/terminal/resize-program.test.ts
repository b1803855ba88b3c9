import { expect, it } from 'vitest';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

it('the screen follows the terminal through sizes large, small and too small', async () => {
  const run = startProgram();
  await run.untilText('▶');
  for (const [columns, rows] of [
    [120, 40],
    [40, 12],
    [30, 8],
    [200, 60],
    [80, 24],
  ] as const) {
    run.resize(columns, rows);
    const isSmall = columns < 40;
    await run.until(
      (text) => (isSmall ? text.includes(`${columns}x${rows}`) : text.includes('▶') && text.includes('16')),
      `the screen at ${columns}x${rows}`,
    );
    expect(run.terminal.scrolledRows()).toBe(0);
  }
  run.send(' ');
  await run.untilText('paused');
  await run.untilQuiet(400);
  // The same moment drawn anew must be what the differences had made of it.
  const shown = run.text();
  run.send('\u000c');
  await run.untilQuiet(400);
  expect(run.text()).toBe(shown);
});
