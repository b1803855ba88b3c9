import { clock, counted } from '../report/figure-text.ts';
import type { SysExDocument, SysExLine } from './sysex-document.ts';

/** What is not as written of one SysEx. */
export function sysExWords({ kind, name, notes, byte, written, heard }: SysExLine): string {
  switch (kind) {
    case 'missing':
      return `${name} is missing (${written})`;
    case 'added':
      return `${name} is not in the song (${heard})`;
    case 'changed':
      return `${name} came with ${heard || 'nothing'} for ${written || 'nothing'} from byte ${byte} on`;
    case 'late':
      return `${name} came late: ${counted(notes ?? 0, 'note')} began without it`;
    case 'early':
      return `${name} came early: ${counted(notes ?? 0, 'note')} began with it before their time`;
  }
}

const MOST_SHOWN = 4;

/** Lines of the page; none where the song has none that matter and none came that does. */
export function sysExLines({
  song,
  heard,
  missing,
  added,
  changed,
  early,
  late,
  leftOut,
  unheard,
  differences,
}: SysExDocument): string[] {
  if (song === 0 && differences.length === 0) return [];
  const wrong = `${missing} missing, ${added} added, ${changed} changed, ${early} early, ${late} late`;
  const lines = [`${song} written, ${heard} heard: ${wrong}`];
  for (const one of differences.slice(0, MOST_SHOWN))
    lines.push(`${one.bar}:${one.beat} (${clock(one.seconds)}) ${sysExWords(one)}`);
  const more = missing + added + changed + early + late - Math.min(MOST_SHOWN, differences.length);
  if (more > 0) lines.push(`and ${more} more of this kind (--json has the first hundred)`);
  if (leftOut > 0)
    lines.push(`${leftOut} did not come and may be left out: makers’ own, or what was in force already`);
  if (unheard > 0)
    lines.push(`${unheard} before the first note not heard: the recording may have begun behind that`);
  return lines;
}
