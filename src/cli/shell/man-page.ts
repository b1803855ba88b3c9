import { examplesOf, TASKS, type Task } from '../help/task-table.ts';
import { OPTION_GROUPS, type OptionRow } from '../options/option-row.ts';
import type { CommandOutline } from './command-outline.ts';

/** `wirepit.1`, in the man macros (groff_man(7)); every command with its rows of the option table. */
export function manPage(about: string, version: string, commands: readonly CommandOutline[]): string {
  const lines = [
    `.TH WIREPIT 1 "" "wirepit ${roff(version)}" "User commands"`,
    '.SH NAME',
    'wirepit \\- play song files exactly on time into MIDI instruments over a slow wire',
    '.SH SYNOPSIS',
    ...commands.flatMap((command, at) => [...(at === 0 ? [] : ['.br']), ...callOf(command)]),
    '.SH DESCRIPTION',
    text(about),
    '.PP',
    text(
      'Without a command the words are songs or folders, and are played. Press ? on the screen for the keys.',
    ),
  ];
  lines.push('.SH WHAT IT IS FOR', ...TASKS.flatMap(taskEntry));
  for (const command of inTaskOrder(commands)) lines.push(...section(command));
  lines.push(...CLOSING);
  return `${lines.join('\n')}\n`;
}

function taskEntry({ name, commands }: Task): string[] {
  return [
    '.TP',
    `.B ${roff(name)}`,
    ...commands.flatMap((command, at) => [
      ...(at === 0 ? [] : ['.br']),
      text(`${command.name}: ${command.brief}`),
    ]),
  ];
}

function inTaskOrder(commands: readonly CommandOutline[]): CommandOutline[] {
  const order = TASKS.flatMap((task) => task.commands.map(({ name }) => name));
  return [...commands].sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
}

function callOf({ name, operands, rows }: CommandOutline): string[] {
  const rest = [...(rows.length > 0 ? ['[options]'] : []), operands].join(' ').trim();
  return [`.B wirepit ${name === 'play' ? '[play]' : name}`, ...(rest === '' ? [] : [roff(rest)])];
}

function section({ name, about, rows }: CommandOutline): string[] {
  const lines = [`.SH ${roff(`WIREPIT ${name}`.toUpperCase())}`];
  lines.push(text(`${about.charAt(0).toUpperCase()}${about.slice(1)}.`));
  for (const [group, heading] of Object.entries(OPTION_GROUPS)) {
    const own = rows.filter((row) => row.group === group);
    if (own.length > 0) lines.push(`.SS ${roff(heading.replace(/:$/, ''))}`, ...own.flatMap(entry));
  }
  lines.push('.SS Examples');
  for (const example of examplesOf(name)) lines.push('.TP', `.B ${roff(example.line)}`, text(example.about));
  return lines;
}

function entry(row: OptionRow): string[] {
  const flags = [...(row.short === undefined ? [] : [`-${row.short}`]), `--${row.name}`];
  const value = row.value === undefined ? '' : ` \\fI${roff(row.value)}\\fR`;
  return ['.TP', `${flags.map((flag) => `\\fB${roff(flag)}\\fR`).join(', ')}${value}`, text(aboutOf(row))];
}

function aboutOf({ about, choices, default: usual, defaultWords }: OptionRow): string {
  const words = defaultWords ?? (Array.isArray(usual) ? undefined : usual);
  const one = choices === undefined ? '' : ` (${choices.join(' or ')})`;
  return `${about}${one}${words === undefined ? '' : `; without it ${words}`}.`;
}

/** A line of running text: one that begins with a dot or a quote would be a request. */
function text(words: string): string {
  return roff(words).replace(/^[.']/, '\\&$&');
}

/** Plain text → roff: a hyphen that may be typed must stay one, and what is not ASCII is named by its code point. */
function roff(words: string): string {
  return words
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replace(/[^\x20-\x7e]/gu, (sign) => {
      return `\\[u${sign.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0')}]`;
    });
}

const CLOSING = [
  '.SH EXIT STATUS',
  ...[
    ['0', 'all was done as asked'],
    ['1', 'it was done, with problems: check found some, songs were passed over, a port was gone at the end'],
    ['2', 'it could not be done; one line says why and what to do next'],
    ['70', 'a fault of wirepit itself; WIREPIT_TRACE=1 shows where'],
  ].flatMap(([code, words]) => ['.TP', code!, text(`${words}.`)]),
  '.SH ENVIRONMENT',
  ...[
    ['WIREPIT_CONFIG', 'off: no settings file is read; anything else is the file to read'],
    ['NO_COLOR', 'with any value: no colours; --colours wins'],
    ['LC_ALL, LC_CTYPE, LANG', 'a locale without UTF-8 gets no block characters, as with --ascii'],
    ['TERM, COLORTERM, COLORFGBG', 'how many colours the terminal has, and on which background'],
    ['WIREPIT_TRACE', '1: a fault of wirepit itself is told with the place in the code'],
  ].flatMap(([name, words]) => ['.TP', `.B ${roff(name!)}`, text(`${words}.`)]),
  '.SH FILES',
  ...[
    ['$XDG_CONFIG_HOME/wirepit/config.toml', 'the usual options; wirepit config lists them'],
    ['$XDG_CONFIG_HOME/wirepit/instruments/', 'instruments that can be named'],
    ['$XDG_STATE_HOME/wirepit/', 'where each show stopped, and its journal'],
  ].flatMap(([name, words]) => ['.TP', `.I ${roff(name!)}`, text(`${words}.`)]),
  '.SH CAUTION',
  text(
    'A module on full volume answers a stray message at full volume: turn down before you connect. Leave work inside mains equipment to people licensed for it, and follow your local codes.',
  ),
];
