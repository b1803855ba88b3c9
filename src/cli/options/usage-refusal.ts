import type { Command, CommanderError } from 'commander';
import { Refusal } from '../../trouble/refusal.ts';

type Complaint = (said: RegExpExecArray, command: Command) => Refusal;

/**
 * What the parser of the command line may complain of, by its code; the pattern takes apart the words of
 * commander 14, and test/cli/usage.test.ts holds each to them.
 */
const COMPLAINTS: Readonly<Record<string, readonly [pattern: RegExp, complaint: Complaint]>> = {
  'commander.unknownOption': [
    /unknown option '(.*)'(?:\s*\(Did you mean (.*)\?\))?$/s,
    ([, option, meant], command) =>
      new Refusal(
        `there is no option '${option}'`,
        command.name(),
        meant === undefined ? `${helpOf(command)} lists those there are` : `is ${meant} meant?`,
      ),
  ],
  'commander.optionMissingArgument': [
    /option '(.*)' argument missing$/s,
    ([, flags], command) =>
      new Refusal(
        'its value is missing',
        nameOf(flags!),
        `write ${formOf(flags!)}; ${helpOf(command)} tells more`,
      ),
  ],
  'commander.invalidArgument': [
    /(?:option '(.*?)' argument|command-argument value) '(.*?)' is invalid(?: for argument '(.*?)')?\. (.*)$/s,
    ([, flags, value, argument, wanted]) =>
      new Refusal(`it cannot be '${value}'`, argument ?? nameOf(flags!), nextStepOf(wanted!)),
  ],
  'commander.missingArgument': [
    /missing required argument '(.*)'$/s,
    ([, argument], command) =>
      argument!.endsWith('s')
        ? new Refusal(`no ${argument} are named`, command.name(), `name some; ${helpOf(command)} tells more`)
        : new Refusal(`no ${argument} is named`, command.name(), `name one; ${helpOf(command)} tells more`),
  ],
  'commander.excessArguments': [
    /too many arguments/,
    (_, command) =>
      new Refusal(
        `'${command.args.at(-1)}' is one word too many`,
        command.name(),
        `${helpOf(command)} shows how it is called`,
      ),
  ],
  // `wirepit help <word>`, where no command is called that.
  'commander.help': [
    /^/,
    () => new Refusal('there is no command of that name', 'help', 'wirepit --help lists those there are'),
  ],
};

/** The parser's complaint as a refusal: one line, with what to do next. */
export function usageRefusal(error: CommanderError, command: Command): Refusal {
  const [pattern, complaint] = COMPLAINTS[error.code] ?? [];
  const said = pattern?.exec(error.message);
  if (said && complaint) return complaint(said, command);
  const words = error.message.replace(/^error: /, '').replace(/\s+/g, ' ');
  return new Refusal(words, 'command line', `${helpOf(command)} tells what there is`);
}

function helpOf(command: Command): string {
  return command.parent === null ? 'wirepit --help' : `wirepit ${command.name()} --help`;
}

/** `-p, --port <port>` → `--port <port>`. */
function formOf(flags: string): string {
  return flags.replace(/^-\w, /, '');
}

function nameOf(flags: string): string {
  return formOf(flags).replace(/ .*/, '');
}

function nextStepOf(wanted: string): string {
  const choices = /^Allowed choices are (.*)\.$/.exec(wanted)?.[1];
  if (choices !== undefined) return `write ${choices.split(', ').join(' or ')}`;
  return wanted.charAt(0).toLowerCase() + wanted.slice(1);
}
