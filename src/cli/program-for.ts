import type { Command } from 'commander';
import { bareProgram, finishProgram } from './bare-program.ts';

type Register = (program: Command) => void;

/** Commands that ought to begin at once: where one of them is meant, the others are not loaded. */
const ALONE: Readonly<Record<string, () => Promise<Register>>> = {
  play: async () => (await import('./play/play.ts')).registerPlay,
  show: async () => (await import('./show/show.ts')).registerShow,
  watch: async () => (await import('./watch/watch.ts')).registerWatch,
  listen: async () => (await import('./listen/listen.ts')).registerListen,
};

/**
 * The command line, with as much of it as these words need.
 * @param words what was typed behind the program's name
 */
export async function programFor(words: readonly string[]): Promise<Command> {
  const register = ALONE[nameOf(words[0])];
  if (register === undefined) return (await import('./program.ts')).wirepitProgram();
  const program = bareProgram();
  (await register())(program);
  return finishProgram(program);
}

/** What is no command's name is a song's; what might be one, written wrongly, is looked at with all of them there. */
function nameOf(first: string | undefined): string {
  if (first === undefined || !/^(-.*|[a-z]+)$/is.test(first)) return 'play';
  return Object.hasOwn(ALONE, first) ? first : '';
}
