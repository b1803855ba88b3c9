/** The keys a newcomer needs first, and whether they mean anything without a song. */
const PIECES: readonly (readonly [text: string, forASong?: true])[] = [
  ['? keys'],
  ['space play', true],
  ['q quit'],
  ['z silence'],
  ['h hanging'],
  ['m mute'],
  ['s solo'],
  ['arrows lane, bar', true],
  ['enter lane'],
  ['/ songs', true],
  ['w worst spot', true],
  ['t tempo', true],
  ['( ) loop', true],
  ['n p marker', true],
];

/** The bottom line: as many keys as fit whole. */
export function keyHint(width: number, hasSong: boolean): string {
  let text = '';
  for (const [piece, forASong] of PIECES) {
    if (forASong && !hasSong) continue;
    const next = text === '' ? ` ${piece}` : `${text}  ${piece}`;
    if (next.length > width) break;
    text = next;
  }
  return text;
}
