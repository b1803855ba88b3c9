import type { ComparisonDocument } from '../../core/compare/comparison-document.ts';
import { renderComparison } from '../../core/compare/render-comparison.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';

const NARROWEST = 60;
const WIDEST = 110;

/** Writes a comparison with a song as a page, as wide as the terminal where that can be read well. */
export function printComparison(
  document: ComparisonDocument,
  { meterMap, endTick }: Timeline,
  ascii = false,
): void {
  const lines = renderComparison(document, {
    ascii,
    width: Math.min(WIDEST, Math.max(NARROWEST, (process.stdout.columns ?? 81) - 1)),
    lastBar: meterMap.barBeatAt(endTick).bar,
    clean: (text) => cleanText(text),
  });
  process.stdout.write(`${lines.join('\n')}\n`);
}
