import type { Command } from 'commander';
import { shippedFolder } from '../../files/shipped-folder.ts';
import { examplesOf, TASKS } from './task-table.ts';

/** Gives the program its help by task, and each command its examples. */
export function addTaskHelp(program: Command): void {
  program
    .usage('[command] [options] [songs or folders...]')
    .configureHelp({
      visibleCommands: (command) => (command === program ? [] : (command.commands as Command[])),
    })
    .addHelpText('after', () => taskLines(program).join('\n'));
  for (const command of program.commands) {
    command.addHelpText('after', () => exampleLines(command.name()).join('\n'));
  }
}

/** The commands under what a person wants to do, an example beside each task. */
function taskLines(program: Command): string[] {
  const width = Math.max(...program.commands.map((command) => command.name().length));
  const lines: string[] = [];
  for (const { name, commands } of TASKS) {
    lines.push('', `${name}:`.padEnd(width + INDENT.length + GAP) + commands[0]!.examples[0]!.line);
    for (const { name: command, brief } of commands) {
      lines.push(`${INDENT}${command.padEnd(width + GAP)}${brief}`);
    }
  }
  return [
    ...lines,
    '',
    'More: wirepit <command> --help, man wirepit, and the book that begins in',
    `${shippedFolder('docs')}/README.md`,
  ];
}

/** Each with what it does beside it, or below it where the lines are long. */
function exampleLines(command: string): string[] {
  const examples = examplesOf(command);
  if (examples.length === 0) return [];
  const width = Math.max(...examples.map(({ line }) => line.length));
  const fits = examples.every(({ about }) => INDENT.length + width + GAP + about.length <= WIDEST);
  const lines = examples.flatMap(({ line, about }) =>
    fits
      ? [`${INDENT}${line.padEnd(width + GAP)}${about}`]
      : [`${INDENT}${line}`, `${INDENT}${INDENT}${INDENT}${about}`],
  );
  return ['', 'Examples:', ...lines];
}

const INDENT = '  ';
const GAP = 2;
const WIDEST = 80;
