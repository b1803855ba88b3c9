/**
 * DEL, the C1 controls and the bidirectional controls (Unicode Standard Annex 9, 2.1–2.5, with its marks), and the line
 * separators: JSON lets them stand as they are (RFC 8259, section 7), and a terminal that is shown the report obeys them.
 */
const OBEYED = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g;

/** The value as JSON of characters that no terminal obeys: what a song's or a file's name holds stays text. */
export function jsonText(value: unknown, indent?: number): string {
  return JSON.stringify(value, undefined, indent).replace(
    OBEYED,
    (character) => `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
