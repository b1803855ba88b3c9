import { CommanderError } from 'commander';
import { cleanText } from '../screen/format/text-cleaning.ts';
import { Refusal } from '../trouble/refusal.ts';

/** Exit codes of the program; 70 is EX_SOFTWARE of sysexits.h. */
export const EXIT = { done: 0, problems: 1, refused: 2, fault: 70 } as const;

/** PATH_MAX of Linux; a longer one is shown by its beginning, so that the line still says what is wrong with it. */
const LONGEST_PATH = 4096;
/** More than any path with a sentence about it. */
export const LONGEST_LINE = 5000;

export interface Trouble {
  /** What to print on standard error, without a line end; '' where it has been said already. */
  readonly line: string;
  readonly exitCode: number;
}

/**
 * The one place where an error becomes a sentence: what, where, what to do next. A refusal is the user's to
 * mend (2); everything else is a fault of ours (70), told without a stack trace unless one was asked for.
 */
export function troubleOf(error: unknown, withTrace: boolean): Trouble {
  // Help or the version was asked for and printed; see `usageRefusal` for complaints.
  if (error instanceof CommanderError) return { line: '', exitCode: error.exitCode };
  if (error instanceof Refusal) {
    return { line: `wirepit: ${cleanText(messageOf(error), LONGEST_LINE)}`, exitCode: EXIT.refused };
  }
  const plain = error instanceof Error ? error.message : String(error);
  const trace = withTrace && error instanceof Error && error.stack ? `\n${error.stack}` : '';
  return {
    line: `wirepit: a fault of ours: ${plain.split('\n')[0]} (set WIREPIT_TRACE=1 for the details)${trace}`,
    exitCode: EXIT.fault,
  };
}

function messageOf({ message, what, where, nextStep }: Refusal): string {
  if (where.length <= LONGEST_PATH) return message;
  return new Refusal(what, `${where.slice(0, LONGEST_PATH)}…`, nextStep).message;
}
