#!/usr/bin/env node
import { wirepitProgram } from './program.ts';
import { troubleOf } from './trouble.ts';

const withTrace = process.env.WIREPIT_TRACE === '1';

try {
  await wirepitProgram().parseAsync();
} catch (error) {
  const { line, exitCode } = troubleOf(error, withTrace);
  if (line !== '') process.stderr.write(`${line}\n`);
  process.exitCode = exitCode;
}
