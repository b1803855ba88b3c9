import type { GlyphSet } from './glyphs.ts';

/** The signs of a lane and of the bars, and what they mean; the help overlay and docs/keys.md print them. */
export const SIGN_TABLE: readonly (readonly [sign: (glyphs: GlyphSet) => string, meaning: string])[] = [
  [() => 'M', 'muted'],
  [() => 'S', 'solo'],
  [() => 'w', 'waits: another lane is solo'],
  [(glyphs) => glyphs.heldBack, 'a note was just held back'],
  [(glyphs) => glyphs.changed, 'changed by you (v V k K i I)'],
  [() => '!', 'a note hangs'],
  [() => 'n', 'keys that sound'],
  [(glyphs) => glyphs.pedal, 'damper pedal down'],
  [(glyphs) => `${glyphs.bendUp}${glyphs.bendDown}`, 'bend, percent of its range'],
  [(glyphs) => glyphs.dot, 'middle C (key 60, named C4)'],
  [(glyphs) => (glyphs.braille ? '⣸' : '-+#'), 'a note; more is louder'],
  [(glyphs) => (glyphs.braille ? '⡀' : '.'), 'just let go, or pedal-held'],
  [(glyphs) => glyphs.heights[4]!, 'wire load (square root)'],
];
