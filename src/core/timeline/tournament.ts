/**
 * Hands out the rows of all tracks in the order of their ticks; rows of one tick in track order, then file
 * order. A tournament between the tracks in which the loser of every match stays at its node (Knuth, The Art
 * of Computer Programming 3, 5.4.1): a row costs one comparison for each doubling of the tracks.
 * @param trackStart first row of each track, and the end of the last; at most 65,536 tracks
 */
export function eachRowInOrder(
  tick: Uint32Array,
  trackStart: Uint32Array,
  take: (row: number, track: number) => void,
): void {
  const tracks = Math.max(0, trackStart.length - 1);
  let leaves = 1;
  while (leaves < tracks) leaves *= 2;
  const nextRow = trackStart.slice(0, tracks);
  const end = trackStart.slice(1);
  // Due: tick and track in one number, below 2⁴⁸; NOTHING_LEFT for a track that is through.
  const firstDue = new Float64Array(leaves).fill(NOTHING_LEFT);
  for (const [track, row] of nextRow.entries()) {
    if (row < end[track]!) firstDue[track] = tick[row]! * leaves + track;
  }
  const { loserDue, loserTrack, winner } = firstRound(firstDue);
  let track = winner;
  let due = firstDue[winner]!;
  while (due !== NOTHING_LEFT) {
    const row = nextRow[track]!;
    take(row, track);
    const next = row + 1;
    nextRow[track] = next;
    due = next < end[track]! ? tick[next]! * leaves + track : NOTHING_LEFT;
    for (let node = (track + leaves) >>> 1; node > 0; node >>>= 1) {
      const rival = loserDue[node]!;
      if (rival >= due) continue;
      loserDue[node] = due;
      due = rival;
      const rivalTrack = loserTrack[node]!;
      loserTrack[node] = track;
      track = rivalTrack;
    }
  }
}

const NOTHING_LEFT = Number.POSITIVE_INFINITY;

/** Nodes 1 to n − 1 hold the losers of the first round; leaf t, not stored, is node n + t. */
function firstRound(due: Float64Array) {
  const leaves = due.length;
  const winners = new Int32Array(2 * leaves);
  const loserDue = new Float64Array(leaves);
  const loserTrack = new Int32Array(leaves);
  for (let leaf = 0; leaf < leaves; leaf += 1) winners[leaves + leaf] = leaf;
  for (let node = leaves - 1; node > 0; node -= 1) {
    const left = winners[2 * node]!;
    const right = winners[2 * node + 1]!;
    const leftWins = due[left]! <= due[right]!;
    winners[node] = leftWins ? left : right;
    loserTrack[node] = leftWins ? right : left;
    loserDue[node] = due[loserTrack[node]!]!;
  }
  return { loserDue, loserTrack, winner: winners[1]! };
}
