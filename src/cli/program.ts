import { Command } from 'commander';
import { version } from '../../package.json';
import { cleanText } from '../screen/text-cleaning.ts';
import { registerCheck } from './check.ts';
import { registerListen } from './listen.ts';
import { registerPlay } from './play.ts';
import { registerPorts } from './ports.ts';

/** The whole command line. `play` is what a bare song or folder means. */
export function wirepitProgram(): Command {
  const program = new Command('wirepit')
    .description(
      'Plays song files exactly on time into real MIDI instruments over a slow wire, and shows what sixteen channels do.',
    )
    .version(version)
    .exitOverride()
    .configureOutput({ outputError: (text, write) => write(usageLine(text)) })
    .enablePositionalOptions();
  registerPlay(program);
  registerCheck(program);
  registerListen(program);
  registerPorts(program);
  return program;
}

/** The parser's complaint, which may have two lines, as one line in the form of every refusal. */
function usageLine(text: string): string {
  const said = text
    .trim()
    .replace(/^error: /, '')
    .replace(/\.?\s*\n\s*/g, ' ');
  return `wirepit: ${cleanText(said)}${said.endsWith('.') ? '' : ';'} wirepit --help tells what there is\n`;
}
