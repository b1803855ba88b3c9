import type { Command } from 'commander';
import { asciiStandIn } from '../../screen/terminal/ascii-stand-in.ts';
import { themeFromEnvironment } from '../../screen/theme/theme.ts';

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * Whether letters can be put where one wants them: `dumb` and `unknown` are terminals that cannot (terminfo(5)), and one that
 * has no name may be one of them.
 */
export function canBeDrawnOn({ TERM = '' }: Environment = process.env): boolean {
  return TERM !== '' && TERM !== 'dumb' && TERM !== 'unknown';
}

/** Said where the screen was wanted and cannot be. */
export function notDrawnOn({ TERM = '' }: Environment = process.env): string {
  const name = TERM === '' ? 'TERM is not set' : `TERM=${TERM}`;
  return `${name}: told in words, as with --plain; where it can be drawn on, TERM=vt100 shows the screen`;
}

/** Each letter beyond ASCII as one that stands for it. */
export function asciiText(text: string): string {
  return /^[\0-~]*$/.test(text)
    ? text
    : Array.from(text, (letter) => {
        const code = letter.codePointAt(0)!;
        return code < 0x7f ? letter : String.fromCharCode(asciiStandIn(code));
      }).join('');
}

/** Text for a terminal that has ASCII alone is written in it; what goes into a file or a pipe stays as it is. */
export function writeWhatItShows(
  streams: readonly NodeJS.WriteStream[] = [process.stdout, process.stderr],
  environment: Environment = process.env,
): void {
  if (!hasAsciiAlone(environment)) return;
  for (const stream of streams) {
    if (!stream.isTTY) continue;
    const write = stream.write.bind(stream) as (chunk: unknown, ...rest: unknown[]) => boolean;
    stream.write = (chunk: unknown, ...rest: unknown[]) =>
      write(typeof chunk === 'string' ? asciiText(chunk) : chunk, ...rest);
  }
}

/** `--ascii` without being asked, for what is printed: tables then choose their own signs. The screen sees to itself. */
export function preferAscii(
  command: Command,
  isTerminal: boolean | undefined = process.stdout.isTTY,
  environment: Environment = process.env,
): void {
  const isUnsaid = command.getOptionValueSource('ascii') === undefined;
  const hasOption = command.options.some(({ long }) => long === '--ascii');
  if (hasOption && isUnsaid && isTerminal && hasAsciiAlone(environment)) {
    command.setOptionValueWithSource('ascii', true, 'env');
  }
}

function hasAsciiAlone(environment: Environment): boolean {
  return environment.TERM !== 'linux' && themeFromEnvironment(environment).ascii;
}
