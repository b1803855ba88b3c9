import { describe, expect, it } from 'vitest';
import { prepareCounting, startCounting } from './counting-run.ts';

prepareCounting();

const pauseMillis = 2500;
const pause = () => new Promise((done) => setTimeout(done, pauseMillis));
const longestGap = (told: string) => Number(/longest gap (\d+)/.exec(told)?.[1]);

describe('a terminal that stops reading', () => {
  it('holds nothing up and makes nothing queue; then it shows the newest state', async () => {
    const run = startCounting(['--running']);
    await run.untilText(/frame [5-9]/);
    const before = run.received;
    run.pause();
    await pause();
    run.resume();
    run.send('k');
    const text = await run.untilText('keys k');
    expect(text).toContain('running');
    // What the system itself holds for a pseudo-terminal is a few kilobytes.
    expect(run.received - before).toBeLessThan(20_000);
    run.send('q');
    expect((await run.untilExit()).code).toBe(0);
    // A blocking write would have held the thread up for the whole pause.
    expect(longestGap(run.told())).toBeLessThan(pauseMillis / 2);
  });

  it('does not hold up the end of the program, full to the brim though it is', async () => {
    const run = startCounting(['--running', '--noisy'], { isAnswering: false });
    await run.untilText(/frame [5-9]/);
    run.pause();
    await pause();
    run.send('q');
    await run.untilTold(/longest gap/);
    run.resume();
    expect((await run.untilExit()).code).toBe(0);
  });
});

describe('a link of 2 kB/s', () => {
  it('shows what a key does while live cells move that it could not carry', async () => {
    const run = startCounting(['--running', '--noisy'], { bytesPerSecond: 2000 });
    await run.untilText(/frame [5-9]/);
    let mostWaiting = 0;
    for (const key of ['a', 'b', 'c', 'd']) {
      run.send(key);
      await run.until((text) => {
        mostWaiting = Math.max(mostWaiting, run.waiting);
        return new RegExp(`keys.* ${key}\\b`).test(text);
      }, `key ${key}`);
    }
    // A frame is some 1,200 bytes here and twelve a second are wanted: without the pace, ten seconds' worth and
    // more would wait. With it, hardly more than one.
    expect(mostWaiting).toBeLessThan(4000);
  });
});
