import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { wirepitProgram } from '../../../src/cli/program.ts';
import { bashCompletion } from '../../../src/cli/shell/bash-completion.ts';
import { commandOutlines } from '../../../src/cli/shell/command-outline.ts';
import { fishCompletion } from '../../../src/cli/shell/fish-completion.ts';
import { zshCompletion } from '../../../src/cli/shell/zsh-completion.ts';
import { WIREPIT } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';

// The shells themselves are the judges. Where one is absent its tests skip.
const outlines = commandOutlines(wirepitProgram());
const folder = tempFolder('completion');
writeFileSync(join(folder, 'a tide.mid'), '');
writeFileSync(join(folder, 'checked.txt'), '');

function run(shell: string, script: string, args: readonly string[] = []): { out: string; error: string } {
  const ran = spawnSync(shell, [...args, '-c', script], { cwd: folder, encoding: 'utf8', timeout: 20_000 });
  return { out: ran.stdout, error: ran.stderr };
}
const has = (shell: string): boolean => spawnSync(shell, ['--version']).status === 0;
const quote = (word: string): string => `'${word.replaceAll("'", "'\\''")}'`;

/** Every long option of a command that `--help` shows. */
function shownOptions(name: string): string[] {
  const command = wirepitProgram().commands.find((each) => each.name() === name)!;
  return command.options.filter(({ hidden }) => !hidden).map(({ long }) => long!);
}

describe.skipIf(!has('bash'))('bash', () => {
  const script = bashCompletion(outlines);
  const complete = (...words: string[]): string[] => {
    const line = `COMP_WORDS=(${words.map(quote).join(' ')}); COMP_CWORD=${words.length - 1}; _wirepit`;
    const { out, error } = run('bash', `${script}\n${line}; printf '%s\\n' "\${COMPREPLY[@]}"`, ['--norc']);
    expect(error).toBe('');
    return out.split('\n').filter((each) => each !== '');
  };

  it('offers every option of every command, and no hidden one', () => {
    for (const { name } of outlines) {
      const shown = [...shownOptions(name), '--help'];
      expect(complete('wirepit', name, '--').sort(), name).toEqual(shown.sort());
    }
    expect(complete('wirepit', 'check', '--jo')).toEqual([]);
  });

  it('offers commands and files first, then the values that an option can have', () => {
    expect(complete('wirepit', 'che')).toEqual(['check', 'checked.txt']);
    expect(complete('wirepit', 'a')).toEqual(['a tide.mid']);
    expect(complete('wirepit', '--pla')).toEqual(['--plan', '--plain']);
    expect(complete('wirepit', 'a tide.mid', '--plan', '')).toEqual(['packed', 'file-order']);
    expect(complete('wirepit', 'a tide.mid', '--plan', '=', 'f')).toEqual(['file-order']);
    expect(complete('wirepit', 'a tide.mid', '-p', 'ser')).toEqual(['serial:']);
    expect(complete('wirepit', 'listen', '--from', 'st')).toEqual(['stdin']);
    // bash cuts a word at its colon.
    expect(complete('wirepit', 'a tide.mid', '--port', 'file', ':', 'a')).toEqual(['a tide.mid']);
    expect(complete('wirepit', 'completion', '')).toEqual(['bash', 'zsh', 'fish']);
    expect(complete('wirepit', 'ports', '')).toEqual([]);
  });
});

describe.skipIf(!has('fish'))('fish', () => {
  const script = fishCompletion(outlines);
  const complete = (line: string): string[] => {
    const { out, error } = run('fish', `${script}\ncomplete -C ${quote(line)}`, ['--no-config']);
    expect(error).toBe('');
    return out.split('\n').map((each) => each.split('\t')[0]!);
  };

  it('offers options and their values', () => {
    expect(complete('wirepit check --')).toEqual(expect.arrayContaining(shownOptions('check')));
    expect(complete('wirepit check --')).not.toContain('--jobs');
    expect(complete('wirepit song.mid --')).toEqual(expect.arrayContaining(shownOptions('play')));
    expect(complete('wirepit song.mid --plan ')).toEqual(expect.arrayContaining(['packed', 'file-order']));
  });
});

it.skipIf(!has('zsh'))('zsh: the script is read without a complaint, and every option stands in it', () => {
  const script = zshCompletion(outlines);
  const { error } = run('zsh', script, ['-f', '-n']);
  expect(error).toBe('');
  for (const { name, rows } of outlines) {
    const part = script.slice(script.indexOf(`    ${name})\n`)).split(';;')[0]!;
    for (const row of rows) expect(part, name).toMatch(new RegExp(`--${row.name}\\b`));
  }
});

it('is printed by the program; another shell is refused in one line', () => {
  const printed = spawnSync(process.execPath, [WIREPIT, 'completion', 'bash'], { encoding: 'utf8' });
  expect(printed.stdout).toBe(bashCompletion(outlines));
  const refused = spawnSync(process.execPath, [WIREPIT, 'completion', 'other'], { encoding: 'utf8' });
  expect(refused.status).toBe(2);
  expect(refused.stderr).toBe("wirepit: shell: it cannot be 'other'; write bash or zsh or fish\n");
});
