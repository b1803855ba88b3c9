import type { SongChoice } from '../state/song-view.ts';

/** Songs whose name and title hold every word of the search, in any order and case; all of them for an empty search. */
export function songsMatching(songs: readonly SongChoice[], search: string): readonly SongChoice[] {
  const words = search.toLowerCase().split(/\s+/).filter(Boolean);
  if (words.length === 0) return songs;
  return songs.filter((song) => {
    const text = `${song.name} ${song.title}`.toLowerCase();
    return words.every((word) => text.includes(word));
  });
}
