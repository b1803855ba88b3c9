#!/usr/bin/env node
import { typedArguments } from './options/typed-arguments.ts';
import { writeWhatItShows } from './output/bare-terminal.ts';
import { guardOutputs } from './output/guard-outputs.ts';
import { forTerminal } from './output/terminal-text.ts';
import { programFor } from './program-for.ts';
import { troubleOf } from './trouble.ts';

const withTrace = process.env.WIREPIT_TRACE === '1';

guardOutputs();
writeWhatItShows();
try {
  const words = typedArguments();
  await (await programFor(words)).parseAsync(words, { from: 'user' });
} catch (error) {
  const { line, exitCode } = troubleOf(error, withTrace);
  if (line !== '') process.stderr.write(`${forTerminal(line, process.stderr)}\n`);
  process.exitCode = exitCode;
}
