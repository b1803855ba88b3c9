import { expect, it } from 'vitest';
import { preparePrograms, startProgramShell } from './program-run.ts';

preparePrograms();

it('ctrl-z under --plain: silence, a stop, the terminal as the shell had it; fg plays on and takes keys', async () => {
  const run = startProgramShell({ rows: 50 });
  await run.untilText('prompt>');
  run.send('$PLAY --plain\r');
  await run.untilText('playing');
  await run.wire.until((wire) => wire.sounding > 0, 'music');
  run.send('\u001a');
  await run.untilText('Stopped');
  // What it sent last may still be on its way here.
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  run.send('clear; stty -a | grep -o " -*icanon\\| -*echo "; echo done\r');
  const settings = await run.untilText(/^done/m);
  expect(settings).toMatch(/^ icanon/m);
  expect(settings).toMatch(/^ echo/m);
  const struck = run.wire.reader.noteOns.length;
  expect(run.wire.reader.sounding).toBe(0);

  run.send('fg\r');
  const later = await run.wire.until((wire) => wire.noteOns.length > struck + 16, 'more notes');
  expect(later.faults).toEqual([]);
  run.send('3m');
  await run.untilText(/^channel 3 muted$/m);
  run.send('q');
  await run.until((text) => /prompt> *$/.test(text.trimEnd()), 'the prompt');
  await run.wire.until((wire) => wire.sounding === 0, 'silence');
  run.send('clear; stty -a | grep -o " -*icanon\\| -*echo "; echo done\r');
  expect(await run.untilText(/^done/m)).toMatch(/^ icanon/m);
});
