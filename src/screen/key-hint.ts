/** The bottom line: the keys a newcomer needs first, as many as fit whole. */
export function keyHint(width: number): string {
  const pieces = [
    '? keys',
    'space play',
    'q quit',
    'z silence',
    'h hanging',
    'm mute',
    's solo',
    'arrows lane, bar',
    'enter lane',
    '/ songs',
    'w worst spot',
    't tempo',
    '( ) loop',
    'n p marker',
  ];
  let text = '';
  for (const piece of pieces) {
    const next = text === '' ? ` ${piece}` : `${text}  ${piece}`;
    if (next.length > width) break;
    text = next;
  }
  return text;
}
