import type { Player } from '../../engine/run/player.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { EXIT, LONGEST_LINE } from '../trouble.ts';

/** Tells what went wrong beside a player's music on standard error, each once, whenever it is called. */
export function troubleTeller({ troubles }: Pick<Player, 'troubles'>): () => void {
  let told = 0;
  return () => {
    for (; told < troubles.length; told += 1) {
      process.exitCode ??= EXIT.problems;
      process.stderr.write(`wirepit: ${cleanText(troubles[told]!, LONGEST_LINE)}\n`);
    }
  };
}
