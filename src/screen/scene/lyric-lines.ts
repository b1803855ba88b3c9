import type { TimedText } from '../../core/timeline/timeline.ts';
import { cleanText } from '../format/text-cleaning.ts';

export interface LyricLine {
  readonly fromMicros: number;
  readonly syllables: readonly { readonly micros: number; readonly text: string }[];
}

const LONGEST_LINE = 72;
const PAUSE_MICROS = 5_000_000;

/**
 * Gathers sung syllables into lines. A line ends at a carriage return or line feed (SMF 1.1 practice RP-017, from
 * memory), at a leading `/` or `\` (common practice, no source), at a long pause, or when it is full.
 */
export function lyricLinesOf(lyrics: readonly TimedText[]): LyricLine[] {
  const lines: LyricLine[] = [];
  let syllables: { micros: number; text: string }[] = [];
  let width = 0;
  const close = (): void => {
    if (syllables.length > 0) lines.push({ fromMicros: syllables[0]!.micros, syllables });
    syllables = [];
    width = 0;
  };
  for (const lyric of lyrics) {
    const last = syllables.at(-1);
    const starts = /^[\r\n/\\]/.test(lyric.text);
    if (starts || (last && lyric.micros - last.micros > PAUSE_MICROS)) close();
    const text = cleanText(lyric.text.replace(/^[\r\n/\\]+/, '').replace(/[\r\n]+$/, ''));
    if (text !== '') {
      if (width + text.length > LONGEST_LINE) close();
      syllables.push({ micros: lyric.micros, text });
      width += text.length;
    }
    if (/[\r\n]$/.test(lyric.text)) close();
  }
  close();
  return lines;
}
