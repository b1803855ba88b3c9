import { PlaceFlow } from './place-flow.ts';
import type { PlaceProblem } from './place-problem.ts';

/**
 * Keeps what is worth most: the exact optimum of a `PlaceProblem`, as a flow of least cost. A place is a unit that
 * travels along the points of time; while it serves a chain it runs through the chain's pieces. Stretches of
 * overload that no chain joins are solved each for itself, place by place, by the cheapest way in what may still be
 * changed (successive shortest paths: Ahuja, Magnanti, Orlin, "Network Flows", 1993, chapter 9.7), from no place up
 * or from all that are wanted down, whichever takes fewer steps.
 * @returns [chains] how many pieces are kept of each
 */
export function leastLoss(problem: PlaceProblem): Uint32Array {
  const { points, places } = problem;
  const flow = new PlaceFlow(problem);
  const { load, joined } = loadOf(problem);
  for (let low = 0, high = 1; low < points; low = high, high += 1) {
    let needed = load[low]!;
    for (; high < points && joined[high]; high += 1) needed = Math.max(needed, load[high]!);
    if (needed - places < places) flow.drain(low, high, places, needed);
    else flow.fill(low, high, places);
  }
  return flow.kept;
}

/** How many chains want each point, and whether one of them wants the point before as well. */
function loadOf({ points, first, pieceStart }: PlaceProblem) {
  const change = new Int32Array(points + 1);
  const through = new Int32Array(points + 1);
  for (let chain = 0; chain < first.length; chain += 1) {
    const begin = first[chain]!;
    const end = begin + pieceStart[chain + 1]! - pieceStart[chain]!;
    change[begin]! += 1;
    change[end]! -= 1;
    if (end <= begin) continue;
    through[begin + 1]! += 1;
    through[end]! -= 1;
  }
  const load = new Int32Array(points);
  const joined = new Uint8Array(points);
  let wants = 0;
  let passes = 0;
  for (let point = 0; point < points; point += 1) {
    wants += change[point]!;
    passes += through[point]!;
    load[point] = wants;
    joined[point] = passes > 0 ? 1 : 0;
  }
  return { load, joined };
}
