import { Command } from 'commander';
import { version } from '../../package.json';
import { registerCheck } from './check/check.ts';
import { registerCompare } from './compare/compare.ts';
import { applyConfig } from './config/apply-config.ts';
import { registerConfig } from './config/config.ts';
import { registerFit } from './fit/fit.ts';
import { addTaskHelp } from './help/task-help.ts';
import { registerInstrument } from './instrument/instrument.ts';
import { registerListen } from './listen/listen.ts';
import { registerLoop } from './loop/loop.ts';
import { usageRefusal } from './options/usage-refusal.ts';
import { preferAscii } from './output/bare-terminal.ts';
import { registerPlay } from './play/play.ts';
import { registerPorts } from './ports/ports.ts';
import { registerPrepare } from './prepare/prepare.ts';
import { registerShell } from './shell/shell.ts';
import { registerShow } from './show/show.ts';
import { registerWatch } from './watch/watch.ts';

/** The whole command line. `play` is what a bare song or folder means. */
export function wirepitProgram(): Command {
  const program = new Command('wirepit')
    .description(
      'Plays song files exactly on time into real MIDI instruments over a slow wire, and shows what sixteen channels do.',
    )
    .version(version)
    // What is wrong is thrown, and told in one place; see below.
    .configureOutput({ writeErr: () => {}, outputError: () => {} })
    .enablePositionalOptions()
    .hook('preAction', async (_, command) => {
      await applyConfig(command);
      preferAscii(command);
    });
  registerPlay(program);
  registerCheck(program);
  registerListen(program);
  registerCompare(program);
  registerLoop(program);
  registerShow(program);
  registerWatch(program);
  registerFit(program);
  registerInstrument(program);
  registerPrepare(program);
  registerPorts(program);
  registerConfig(program);
  registerShell(program);
  addTaskHelp(program);
  for (const command of [program, ...program.commands]) {
    command.exitOverride((error) => {
      throw error.exitCode === 0 ? error : usageRefusal(error, command);
    });
  }
  return program;
}
