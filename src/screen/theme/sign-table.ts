import type { GlyphSet } from './glyphs.ts';

/** The signs of a lane and of the bars, and what they mean; the help overlay and docs/keys.md print them. */
export const SIGN_TABLE: readonly (readonly [sign: (glyphs: GlyphSet) => string, meaning: string])[] = [
  [() => 'M', 'muted'],
  [() => 'S', 'solo'],
  [() => 'w', 'waits: another lane is solo'],
  [(glyphs) => glyphs.heldBack, 'a note was held back just now'],
  [(glyphs) => glyphs.changed, 'velocity, key or program changed by you'],
  [() => '!', 'a note hangs'],
  [() => 'n', 'keys that sound'],
  [(glyphs) => glyphs.pedal, 'damper pedal down'],
  [(glyphs) => `${glyphs.bendUp}${glyphs.bendDown}`, 'bend, in percent of its range'],
  [(glyphs) => glyphs.dot, 'middle C (key 60, named C4)'],
  [(glyphs) => (glyphs.braille ? '⣸' : '-+#'), 'a note: higher or denser is louder'],
  [(glyphs) => (glyphs.braille ? '⡀' : '.'), 'let go just now, or held by the pedal'],
  [(glyphs) => glyphs.heights[4]!, 'load of the wire, on a square-root scale'],
];
