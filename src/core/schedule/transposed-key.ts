/**
 * The key to send for a key of the song. What leaves 0–127 comes back by octaves: the note keeps its name, and
 * a song transposed by 24 loses nothing.
 */
export function transposedKey(key: number, semitones: number): number {
  let sent = key + semitones;
  while (sent > 127) sent -= 12;
  while (sent < 0) sent += 12;
  return sent;
}
