/** As people write them: bar and beat, a clock, a fraction, a share. */
const NUMBER = /\d+(?:[.,:/]\d+)*%?/g;

/** Where the number begins and ends that a cut at `place` would part; undefined where it parts none. */
export function numberAround(text: string, place: number): { from: number; to: number } | undefined {
  for (const { 0: number, index } of text.matchAll(NUMBER)) {
    if (index >= place) return undefined;
    const to = index + number.length;
    if (place < to) return { from: index, to };
  }
  return undefined;
}

export function numbersIn(text: string): readonly string[] {
  return text.match(NUMBER) ?? [];
}
