import type { SongCheck, Verdict } from './song-check.ts';

export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  fits: 'fits',
  'fits-with-changes': 'fits with these changes',
  'does-not-fit': 'does not fit',
};

/** The verdict in words, what stands against the song, and the command line that applies the changes. */
export function renderVerdict(
  check: SongCheck,
  { clean }: { readonly clean: (text: string) => string },
): string[] {
  const lines = [`Verdict: ${VERDICT_WORDS[check.verdict]}`];
  for (const { text } of check.problems) lines.push(`  - ${clean(text)}`);
  if (check.changes.length === 0) return lines;
  if (check.verdict === 'does-not-fit') lines.push('What helps, though it is not enough:');
  for (const { flags, text } of check.changes) lines.push(`  ${flags.join(' ')}: ${text}`);
  lines.push(`  wirepit ${check.command.map((word) => shellWord(clean(word))).join(' ')}`);
  return lines;
}

/** A word as a POSIX shell takes it unchanged (IEEE Std 1003.1, 2.2.2). */
export function shellWord(word: string): string {
  if (/^[\w@%+=:,./-]+$/.test(word)) return word;
  return `'${word.replaceAll("'", `'\\''`)}'`;
}
