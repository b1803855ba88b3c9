/**
 * Which track is next: a tournament over tracks in which the loser of every match stays at its node (Knuth,
 * The Art of Computer Programming 3, 5.4.1), so that a step costs one comparison a level. It hands out runs
 * of rows; a run goes on while no other track has a row due before it.
 */
export class TrackQueue {
  /** The run found by `next`: rows `from` to `to` − 1 of `track`. */
  track = 0;
  from = 0;
  to = 0;

  readonly #tick: Uint32Array;
  readonly #end: Uint32Array;
  readonly #row: Uint32Array;
  /** Tick of each track's next row; Infinity when it has none left. */
  readonly #due: Float64Array;
  /** Losers by node 1 … leaves − 1; the winner at 0. Leaves, not stored, are nodes leaves … 2·leaves − 1. */
  readonly #loser: Int32Array;
  readonly #leaves: number;

  constructor(tick: Uint32Array, trackStart: Uint32Array) {
    const tracks = Math.max(0, trackStart.length - 1);
    this.#tick = tick;
    this.#row = trackStart.slice(0, tracks);
    this.#end = trackStart.slice(1);
    this.#leaves = 1;
    while (this.#leaves < tracks) this.#leaves *= 2;
    this.#due = new Float64Array(this.#leaves).fill(Number.POSITIVE_INFINITY);
    for (let track = 0; track < tracks; track += 1) this.#setDue(track);
    this.#loser = new Int32Array(this.#leaves);
    this.#loser[0] = this.#playAll();
  }

  /** Finds the next run; false when all rows have been handed out. */
  next(): boolean {
    const tick = this.#tick;
    const track = this.#loser[0]!;
    if (this.#due[track] === Number.POSITIVE_INFINITY) return false;
    const end = this.#end[track]!;
    const rival = this.#strongestRival(track);
    const limit = this.#due[rival]!;
    let row = this.#row[track]! + 1;
    if (rival > track) while (row < end && tick[row]! <= limit) row += 1;
    else if (rival < track) while (row < end && tick[row]! < limit) row += 1;
    else row = end;
    this.track = track;
    this.from = this.#row[track]!;
    this.to = row;
    this.#row[track] = row;
    this.#setDue(track);
    this.#replay(track);
    return true;
  }

  #setDue(track: number): void {
    const row = this.#row[track]!;
    this.#due[track] = row < this.#end[track]! ? this.#tick[row]! : Number.POSITIVE_INFINITY;
  }

  #before(a: number, b: number): boolean {
    const dueA = this.#due[a]!;
    const dueB = this.#due[b]!;
    return dueA < dueB || (dueA === dueB && a < b);
  }

  /** The best of those who lost to the winner: it stands somewhere on the winner's way up. */
  #strongestRival(winner: number): number {
    let best = winner;
    for (let node = (winner + this.#leaves) >>> 1; node > 0; node >>>= 1) {
      const loser = this.#loser[node]!;
      if (best === winner || this.#before(loser, best)) best = loser;
    }
    return best;
  }

  #replay(track: number): void {
    let winner = track;
    for (let node = (track + this.#leaves) >>> 1; node > 0; node >>>= 1) {
      const loser = this.#loser[node]!;
      if (this.#before(loser, winner)) {
        this.#loser[node] = winner;
        winner = loser;
      }
    }
    this.#loser[0] = winner;
  }

  #playAll(): number {
    const winners = new Int32Array(2 * this.#leaves);
    for (let leaf = 0; leaf < this.#leaves; leaf += 1) winners[this.#leaves + leaf] = leaf;
    for (let node = this.#leaves - 1; node > 0; node -= 1) {
      const [left, right] = [winners[2 * node]!, winners[2 * node + 1]!];
      const leftWins = !this.#before(right, left);
      winners[node] = leftWins ? left : right;
      this.#loser[node] = leftWins ? right : left;
    }
    return winners[1]!;
  }
}
