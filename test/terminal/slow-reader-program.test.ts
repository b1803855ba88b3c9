import { expect, it } from 'vitest';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

it('the music plays on while nobody reads the screen, which is right again afterwards', async () => {
  const run = startProgram();
  await run.untilText('▶');
  await run.wire.until((wire) => wire.noteOns.length > 0, 'sounding');
  run.pause();
  const before = run.wire.reader.noteOns.length;
  // Sixteen notes every half second.
  await run.wire.until((wire) => wire.noteOns.length >= before + 16 * 8, 'four more seconds of notes');
  run.resume();
  run.send('m');
  await run.untilText(/^.? ?1M/m);
  run.send('q');
  expect((await run.untilExit()).code).toBe(0);
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
});

it('the end does not wait for a terminal that does not read', async () => {
  const run = startProgram([], { isAnswering: false });
  await run.untilText('▶');
  await run.wire.until((wire) => wire.noteOns.length > 0, 'sounding');
  run.pause();
  run.send('q');
  await run.wire.until(
    (wire) => wire.noteOns.length > 0 && wire.sounding === 0 && wire.said.get('3:cc120') === 0,
    'silence',
  );
  run.resume();
  expect((await run.untilExit()).code).toBe(0);
});
