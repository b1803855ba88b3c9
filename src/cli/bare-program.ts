import { Command } from 'commander';
import { version } from '../../package.json';
import { applyConfig } from './config/apply-config.ts';
import { addTaskHelp } from './help/task-help.ts';
import { usageRefusal } from './options/usage-refusal.ts';
import { preferAscii } from './output/bare-terminal.ts';

/** The program without a command. */
export function bareProgram(): Command {
  return (
    new Command('wirepit')
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
      })
  );
}

/** Once it has its commands: help, and complaints in our words. */
export function finishProgram(program: Command): Command {
  addTaskHelp(program);
  for (const command of [program, ...program.commands]) {
    command.exitOverride((error) => {
      throw error.exitCode === 0 ? error : usageRefusal(error, command);
    });
  }
  return program;
}
