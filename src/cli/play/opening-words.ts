import { hardwareTrouble } from '../../ports/hardware/hardware-trouble.ts';
import type { PlayIntent } from './intend-play.ts';

/** What a person ought to know as a song begins: the shortest first, for a line may be cut at its end. */
export function openingWords({ loaded, flags }: Pick<PlayIntent, 'loaded' | 'flags'>): string[] {
  const words: string[] = [];
  const findings = loaded.song.findings.length + loaded.timeline.findings.length;
  if (findings > 0) {
    words.push(
      `${findings} ${findings === 1 ? 'finding' : 'findings'} in this song (wirepit check tells them)`,
    );
  }
  if (flags.port.length === 0) words.push(`on the mock wire: ${hardwareTrouble()?.reason ?? CHOOSE}`);
  return words;
}

const CHOOSE = '--port names a real one (wirepit ports lists them)';
