import { InvalidArgumentError } from 'commander';

/** Channels 0–15 from what a person writes: `1-4,10`. Undefined where it is no such list. */
export function channelsOf(text: string): number[] | undefined {
  const channels = new Set<number>();
  for (const part of text.split(',')) {
    const range = /^\s*(\d{1,2})(?:\s*-\s*(\d{1,2}))?\s*$/.exec(part);
    if (!range) return undefined;
    const from = Number(range[1]);
    const to = Number(range[2] ?? range[1]);
    if (from < 1 || to > 16 || from > to) return undefined;
    for (let channel = from; channel <= to; channel += 1) channels.add(channel - 1);
  }
  return [...channels].sort((a, b) => a - b);
}

/** The same for a flag: commander tells what is wrong with it. */
export function channelsArgument(text: string): number[] {
  const list = channelsOf(text);
  if (!list) throw new InvalidArgumentError('Write channels 1 to 16, as in 1-4,10.');
  return list;
}
