import type { PlaceProblem } from '../../src/core/arrange/fit/place-problem.ts';

interface Arc {
  readonly from: number;
  readonly to: number;
  room: number;
  readonly cost: number;
}

/**
 * What can be kept of a `PlaceProblem` at most, by the plainest way there is to a flow of least cost: place by place
 * the cheapest way, found by relaxing every arc until none gets cheaper (Bellman and Ford). No prices, no stretches.
 */
export function mostKeptPlainly({ points, places, first, pieceStart, value }: PlaceProblem): number {
  const arcs: Arc[] = [];
  const add = (from: number, to: number, room: number, cost: number) =>
    arcs.push({ from, to, room, cost }, { from: to, to: from, room: 0, cost: -cost });
  for (let line = 0; line < points; line += 1) add(line, line + 1, places, 0);
  for (let chain = 0; chain < first.length; chain += 1) {
    for (let piece = pieceStart[chain]!; piece < pieceStart[chain + 1]!; piece += 1) {
      const node = points + 1 + piece;
      const line = first[chain]! + piece - pieceStart[chain]!;
      add(piece === pieceStart[chain] ? line : node - 1, node, 1, -value[piece]!);
      add(node, line + 1, 1, 0);
    }
  }
  let kept = 0;
  for (let place = 0; place < places; place += 1) {
    const { distance, by } = cheapest(arcs, points + 1 + value.length);
    kept -= distance[points]!;
    for (let node = points; node !== 0; ) {
      const arc = by[node]!;
      arcs[arc]!.room -= 1;
      arcs[arc ^ 1]!.room += 1;
      node = arcs[arc]!.from;
    }
  }
  return kept;
}

function cheapest(arcs: readonly Arc[], nodes: number) {
  const distance = new Float64Array(nodes).fill(Number.POSITIVE_INFINITY);
  const by = new Int32Array(nodes).fill(-1);
  distance[0] = 0;
  for (let changed = true; changed; ) {
    changed = false;
    for (const [at, { from, to, room, cost }] of arcs.entries()) {
      if (room === 0 || distance[from]! + cost >= distance[to]! - 1e-12) continue;
      distance[to] = distance[from]! + cost;
      by[to] = at;
      changed = true;
    }
  }
  return { distance, by };
}
