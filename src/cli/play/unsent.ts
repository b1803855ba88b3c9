import type { ObservedState } from '../../core/observe/observed-state.ts';
import { PortSlot, PortTrouble } from '../../core/observe/port-state.ts';
import type { OutputSpec } from '../../engine/run/player-options.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';

/**
 * Outputs that were gone, or took nothing more, as a run ended: what should have reached them did not.
 * @returns one line for standard error, with what to do next; undefined where every output was well at the end
 */
export function unsentLine(outputs: readonly OutputSpec[], observed: ObservedState): string | undefined {
  const gone = inTrouble(outputs, observed, PortTrouble.lost);
  const full = inTrouble(outputs, observed, PortTrouble.heldUp);
  const what = [
    ...(gone.length > 0 ? [`${gone.join(' and ')} gone`] : []),
    ...(full.length > 0 ? [`${full.join(' and ')} full`] : []),
  ];
  if (what.length === 0) return undefined;
  return `wirepit: ${what.join(', ')} as the run ended, so not everything was sent; wirepit ports lists what is here`;
}

function inTrouble(outputs: readonly OutputSpec[], observed: ObservedState, trouble: number): string[] {
  return outputs.flatMap(({ name, port }, index) => {
    if (observed.ports[index]?.numbers[PortSlot.trouble] !== trouble) return [];
    return `port ${name === undefined ? cleanText(port) : `${name} (${cleanText(port)})`}`;
  });
}
