import { expect, it } from 'vitest';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';
import { preparePrograms, startProgram } from './program-run.ts';

preparePrograms();

it('--plain takes the keys of the screen and answers each in a line', async () => {
  const run = startProgram(['--plain'], { rows: 50, shell: SETTINGS_SHELL });
  await run.wire.until((wire) => wire.sounding > 0, 'music');
  await run.untilText('playing');

  run.send('3m');
  await run.untilText(/^number 3\nchannel 3 muted$/m);
  const onThree = () => run.wire.reader.noteOns.filter(({ channel }) => channel === 2).length;
  await run.wire.until((wire) => (wire.open.get(2 * 128 + 58) ?? 0) === 0, 'channel 3 let go');
  const before = onThree();
  const all = run.wire.reader.noteOns.length;
  await run.wire.until((wire) => wire.noteOns.length > all + 12, 'the others play on');
  expect(onThree()).toBe(before);

  run.send(' ');
  await run.untilText(/^paused$/m);
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  run.send('z');
  await run.untilText(/^silenced everything$/m);
  run.send(' ');
  await run.untilText(/^playing$/m);
  await run.wire.until((wire) => wire.sounding > 0, 'music again');
  run.send('q');
  const text = await expectGivenBack(run, 0);
  expect(run.wire.reader.sounding).toBe(0);
  // Told once: by the answer, not by the changes too.
  expect(text.match(/channel 3 muted/g)).toHaveLength(1);
});
