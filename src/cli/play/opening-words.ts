import { counted } from '../../core/report/figure-text.ts';
import { listSerial } from '../../ports/serial/serial-list.ts';
import type { PlayIntent } from './intend-play.ts';
import { playAlongWords } from './play-along.ts';

/**
 * What a person ought to know as a song begins: the shortest first, for a line may be cut at its end.
 * @param root the folder that stands for `/`, where serial devices are looked for
 */
export function openingWords(
  { loaded, flags, outputs, settings }: Pick<PlayIntent, 'loaded' | 'flags' | 'outputs' | 'settings'>,
  root = '/',
): string[] {
  const words: string[] = [];
  if (loaded.changed !== undefined) words.push(loaded.changed);
  const instruments = new Set(outputs.flatMap(({ instrument }) => instrument?.name ?? []));
  if (instruments.size > 0) words.push(`for ${[...instruments].join(' and ')}`);
  const findings = loaded.song.findings.length + loaded.timeline.findings.length;
  if (findings > 0) {
    words.push(`${counted(findings, 'finding')} in this song (wirepit check tells them)`);
  }
  const { playAlong } = settings;
  if (playAlong !== undefined) words.push(playAlongWords(playAlong, loaded.timeline.columns));
  if (flags.port.length === 0) words.push(mockWords(root));
  return words;
}

/** The way to a real wire: a serial device that is here and may be used, else how one is written. */
function mockWords(root: string): string {
  const port = listSerial(root).ports[0]?.name ?? 'serial:<device>';
  return `on the mock wire: for a real one --port ${port} (see wirepit ports)`;
}
