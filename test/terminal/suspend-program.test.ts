import { expect, it } from 'vitest';
import { preparePrograms, startProgramShell } from './program-run.ts';

preparePrograms();

it('ctrl-z: nothing sounds while the program is stopped, and fg plays on where it was', async () => {
  const run = startProgramShell();
  await run.untilText('prompt>');
  run.send('$PLAY\r');
  await run.untilText('▶');
  await run.wire.until((wire) => wire.sounding > 0, 'sounding');
  run.send('\u001a');
  await run.untilText('Stopped');
  expect(run.terminal.isAlternateScreen).toBe(false);
  // What it sent last may still be on its way here.
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  const struck = run.wire.reader.noteOns.length;
  run.send('fg\r');
  await run.untilText('▶');
  const later = await run.wire.until((wire) => wire.noteOns.length > struck + 16, 'more notes');
  expect(later.faults).toEqual([]);
  run.send('q');
  await run.until((text) => /prompt> *$/.test(text.trimEnd()), 'the prompt');
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
});
