import { describe, expect, it } from 'vitest';
import { prepareCounting, startCounting } from './counting-run.ts';

prepareCounting();

describe('when the terminal is resized', () => {
  it('the screen is laid out anew, whole, and nothing scrolls', async () => {
    const run = startCounting([], { columns: 80, rows: 24 });
    await run.untilText('size 80x24');
    for (const [columns, rows] of [
      [120, 40],
      [40, 12],
      [100, 12],
      [20, 30],
    ] as const) {
      run.resize(columns, rows);
      await run.untilText(`size ${columns}x${rows}`);
      await run.untilQuiet(150);
      expect(run.text().trimEnd().split('\n')).toEqual([
        `size ${columns}x${rows}`,
        'keys',
        'frame 0',
        'still',
        'coloured',
      ]);
      expect(run.terminal.scrolledRows()).toBe(0);
    }
  });

  it('many times at once while live cells move, the last size counts', async () => {
    const run = startCounting(['--running'], { columns: 80, rows: 24 });
    await run.untilText(/frame [5-9]/);
    for (let step = 0; step < 40; step++) run.resize(30 + ((step * 37) % 90), 6 + ((step * 11) % 30));
    run.resize(66, 9);
    await run.untilText('size 66x9');
    run.send('g');
    await run.untilText('still');
    await run.untilQuiet(150);
    const lines = run.text().split('\n');
    expect(lines).toHaveLength(9);
    expect(lines.slice(0, 2)).toEqual(['size 66x9', 'keys g']);
    expect(lines[2]).toMatch(/^frame \d+$/);
    expect(lines.slice(5).join('')).toBe('');
    expect(run.terminal.scrolledRows()).toBe(0);
  });
});
