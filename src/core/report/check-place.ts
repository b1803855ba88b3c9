/** A place in the song, as people count: bars and beats from 1. */
export interface CheckPlace {
  readonly seconds: number;
  readonly bar: number;
  readonly beat: number;
}
