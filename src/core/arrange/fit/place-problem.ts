/**
 * What to keep where there are fewer places than there are things that want one: notes and voices, or stretches of
 * music and parts. Time is cut at `points` moments, each of them with more wants than places (moments with places
 * enough bind nobody and are not in it). A chain wants a place at points `first[i]` … `first[i] + length − 1`, a
 * piece for each; it may give its place up at any point, and then never has one again: what is kept of it is a
 * prefix of its pieces.
 *
 *   first       u32 [chains]      ascending
 *   pieceStart  u32 [chains + 1]  where its pieces stand in `value`
 *   value       f64 [pieces]      what is lost without the piece, ≥ 0
 */
export interface PlaceProblem {
  readonly points: number;
  readonly places: number;
  readonly first: Uint32Array;
  readonly pieceStart: Uint32Array;
  readonly value: Float64Array;
}
