import { userInfo } from 'node:os';
import type { Command } from 'commander';
import { readSet } from '../../show/read-set.ts';
import { typedOptions } from '../options/typed-options.ts';
import { serviceUnit, terminalUnit } from './service-unit.ts';
import type { ShowFlags } from './song-flags.ts';
import { unitTerminal } from './unit-terminal.ts';

/** What only says that a unit is wanted, what the unit says itself, and what has no place in one. */
const NOT_FOR_A_UNIT = ['new', 'service', 'service-tty', 'headless', 'unattended', 'clock'];

/**
 * Prints a unit that starts this show as it was typed here.
 * @throws {Refusal} where the set cannot be read, or the terminal is none: better now than when the machine starts
 */
export function printService(path: string, { serviceTty }: ShowFlags, show: Command): void {
  const { path: setPath, ports } = readSet(path);
  const options = typedOptions(show, NOT_FOR_A_UNIT);
  const wishes = { setPath, options, folder: process.cwd() };
  const unit =
    serviceTty === undefined
      ? serviceUnit(wishes)
      : terminalUnit(wishes, unitTerminal(serviceTty, [...options, ...ports]), userInfo().username);
  process.stdout.write(unit);
}
