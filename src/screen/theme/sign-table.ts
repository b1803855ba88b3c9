import type { GlyphSet } from './glyphs.ts';

/** A sign of a lane or of the bars, and what it means; the help overlay and docs/keys.md print them. */
export interface SignRow {
  readonly sign: (glyphs: GlyphSet) => string;
  readonly meaning: string;
  /** Never seen without it: a song that plays, or a port that what is held back would go to. */
  readonly needs?: 'song' | 'output';
}

export const SIGN_TABLE: readonly SignRow[] = [
  { sign: () => 'M', meaning: 'muted', needs: 'output' },
  { sign: () => 'S', meaning: 'solo', needs: 'output' },
  { sign: () => 'w', meaning: 'waits: another lane is solo', needs: 'output' },
  { sign: (glyphs) => glyphs.heldBack, meaning: 'a note was just held back', needs: 'output' },
  { sign: (glyphs) => glyphs.changed, meaning: 'changed by you (v V k K i I)', needs: 'song' },
  { sign: () => '!', meaning: 'a note hangs' },
  { sign: () => 'n', meaning: 'keys that sound' },
  { sign: (glyphs) => glyphs.pedal, meaning: 'damper pedal down' },
  { sign: (glyphs) => `${glyphs.bendUp}${glyphs.bendDown}`, meaning: 'bend, percent of its range' },
  { sign: (glyphs) => glyphs.dot, meaning: 'middle C (key 60, named C4)' },
  { sign: (glyphs) => (glyphs.braille ? '⣸' : '-+#'), meaning: 'a note; more is louder' },
  { sign: (glyphs) => (glyphs.braille ? '⡀' : '.'), meaning: 'just let go, or pedal-held' },
  { sign: (glyphs) => glyphs.heights[4]!, meaning: 'wire load (square root)' },
];
