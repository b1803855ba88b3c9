import { Argument, type Command } from 'commander';
import { version } from '../../../package.json';

const SHELLS = ['bash', 'zsh', 'fish'] as const;

/** `wirepit completion <shell>` and `wirepit man`: what a shell and `man` want to know, from the option table. */
export function registerShell(program: Command): void {
  program
    .command('completion')
    .description('print what bash, zsh or fish needs to complete commands, options and ports')
    .addArgument(new Argument('<shell>', 'which shell').choices(SHELLS))
    .action(async (shell: (typeof SHELLS)[number]) => {
      const { commandOutlines } = await import('./command-outline.ts');
      const outlines = commandOutlines(program);
      const scripts = {
        bash: async () => (await import('./bash-completion.ts')).bashCompletion,
        zsh: async () => (await import('./zsh-completion.ts')).zshCompletion,
        fish: async () => (await import('./fish-completion.ts')).fishCompletion,
      } as const;
      process.stdout.write((await scripts[shell]())(outlines));
    });
  program
    .command('man')
    .description('print the man page; wirepit man | man -l - shows it')
    .action(async () => {
      const { commandOutlines } = await import('./command-outline.ts');
      const { manPage } = await import('./man-page.ts');
      process.stdout.write(manPage(program.description(), version, commandOutlines(program)));
    });
}
