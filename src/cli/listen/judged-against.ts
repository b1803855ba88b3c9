import type { ComparisonDocument } from '../../core/compare/comparison-document.ts';
import type { AgainstSong } from '../../listen/against-song.ts';
import { printComparison } from '../compare/print-comparison.ts';
import { EXIT } from '../trouble.ts';

/**
 * What was heard, judged as `compare` would judge its record: printed as a page unless `--json` prints it all. Sets the exit
 * code: 1 where it differs.
 */
export async function judgedAgainst(
  against: AgainstSong | undefined,
  { json, ascii }: { readonly json?: boolean; readonly ascii?: boolean },
): Promise<ComparisonDocument | undefined> {
  if (against === undefined) return undefined;
  const document = await against.whole().catch((error: Error) => {
    process.stderr.write(`what was heard was not compared: ${error.message}\n`);
    process.exitCode ??= EXIT.problems;
  });
  if (document === undefined) return undefined;
  process.exitCode ??= document.verdict === 'same' ? EXIT.done : EXIT.problems;
  if (json) return document;
  printComparison(document, against.timeline, ascii);
  return document;
}
