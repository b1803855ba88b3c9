/**
 * A line of music as text, read from left to right:
 *
 *   c4 f#5 bb3     a note: letter, accidentals, octave (c4 is middle C, key 60)
 *   c4+e4+g4       notes together
 *   -              a rest
 *   _              the note before goes on
 *   /4 /8. /16 /8t length of this and the following notes: quarter, dotted eighth, sixteenth, eighth triplet
 *   c4!  c4/8?     louder, softer than its neighbours
 *   c4'  c4/8~     short, or held right up to the next note
 *   @mf            from here on; pp p mp mf f ff
 *   @<             from here gradually towards the next @ mark
 *   |              a bar line: it must stand at one
 *   [c4 e4]*3      three times
 */
export interface NotatedNote {
  /** Ticks from the beginning of the line. */
  readonly tick: number;
  readonly ticks: number;
  readonly keys: readonly number[];
  /** Velocity before accents and human unevenness. */
  readonly level: number;
  /** 1 louder, -1 softer, 0 as its neighbours. */
  readonly accent: number;
  readonly touch: 'short' | 'held' | 'usual';
}

export interface NotatedLine {
  readonly notes: readonly NotatedNote[];
  readonly ticks: number;
}

export const TICKS_PER_QUARTER = 480;

/** Velocities of the dynamic marks. GM modules differ; the steps are even, mezzo forte near the middle. */
export const LEVELS = { pp: 34, p: 47, mp: 60, mf: 73, f: 87, ff: 102 } as const;
export type LevelName = keyof typeof LEVELS;

const NOTE =
  /^(?<pitches>-|_|[a-g](?:#|b)*\d(?:\+[a-g](?:#|b)*\d)*)(?:\/(?<length>\d+)(?<dot>\.?)(?<triplet>t?))?(?<marks>[!?'~]*)$/;

/**
 * @param barTicks length of a bar, for the bar lines
 * @param firstLevel in force until the line says otherwise
 * @throws where the text is not in the notation, or a bar line stands where none is
 */
export function readLine(text: string, barTicks: number, firstLevel: LevelName = 'mf'): NotatedLine {
  const notes: NotatedNote[] = [];
  const levels: { tick: number; level: number; gradual: boolean }[] = [];
  let level: number = LEVELS[firstLevel];
  let length = TICKS_PER_QUARTER;
  let tick = 0;
  levels.push({ tick, level, gradual: false });
  for (const word of repeated(text).split(/\s+/).filter(Boolean)) {
    if (word === '|') {
      if (tick % barTicks !== 0)
        throw new Error(`bar line at tick ${tick % barTicks} of a bar: ${before(text, word)}`);
      continue;
    }
    if (word.startsWith('@')) {
      const gradual = word === '@<';
      if (!gradual) level = LEVELS[word.slice(1) as LevelName];
      if (level === undefined) throw new Error(`no such mark: ${word}`);
      levels.push({ tick, level, gradual });
      continue;
    }
    const parts = NOTE.exec(word)?.groups;
    if (!parts) throw new Error(`no such note: ${word}`);
    if (parts.length) length = lengthOf(Number(parts.length), parts.dot !== '', parts.triplet !== '');
    if (parts.pitches === '_') {
      const last = notes.pop();
      if (!last) throw new Error('nothing goes on at the beginning of a line');
      notes.push({ ...last, ticks: last.ticks + length });
    } else if (parts.pitches !== '-') {
      const marks = parts.marks ?? '';
      const keys = parts.pitches!.split('+').map(keyOf);
      const accent = marks.includes('!') ? 1 : marks.includes('?') ? -1 : 0;
      const touch = marks.includes("'") ? 'short' : marks.includes('~') ? 'held' : 'usual';
      notes.push({ tick, ticks: length, keys, level, accent, touch });
    }
    tick += length;
  }
  return { notes: notes.map((note) => ({ ...note, level: levelAt(levels, note.tick) })), ticks: tick };
}

const SEMITONES: Readonly<Record<string, number>> = { c: 0, d: 2, e: 4, f: 5, g: 7, a: 9, b: 11 };

/** `bb3` → 58. */
export function keyOf(name: string): number {
  const [, letter = '', accidentals = '', octave = ''] = /^([a-g])((?:#|b)*)(\d)$/.exec(name) ?? [];
  const semitone = SEMITONES[letter];
  if (semitone === undefined) throw new Error(`no such note: ${name}`);
  const raised = [...accidentals].reduce((sum, sign) => sum + (sign === '#' ? 1 : -1), 0);
  return 12 * (Number(octave) + 1) + semitone + raised;
}

function lengthOf(part: number, dotted: boolean, triplet: boolean): number {
  const plain = (4 * TICKS_PER_QUARTER) / part;
  return plain * (dotted ? 1.5 : 1) * (triplet ? 2 / 3 : 1);
}

function repeated(text: string): string {
  return text.replaceAll(/\[([^\]]*)\]\*(\d+)/g, (_, body: string, times: string) =>
    Array.from({ length: Number(times) }, () => body).join(' '),
  );
}

/** A mark holds until the next; a gradual one leads from its own level to that of the next. */
function levelAt(levels: readonly { tick: number; level: number; gradual: boolean }[], tick: number): number {
  const index = levels.findLastIndex((mark) => mark.tick <= tick);
  const mark = levels[index]!;
  const next = levels[index + 1];
  if (!mark.gradual || !next) return mark.level;
  return mark.level + ((next.level - mark.level) * (tick - mark.tick)) / (next.tick - mark.tick);
}

function before(text: string, word: string): string {
  return `${text.trim().slice(0, 60)}… (${word})`;
}
