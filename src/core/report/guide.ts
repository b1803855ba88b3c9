/** What a code of the report means for one who plays the song, and what to do about it. */
export interface Guide {
  readonly means: string;
  readonly toDo: string;
}
