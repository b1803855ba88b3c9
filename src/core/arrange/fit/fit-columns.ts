import type { Instrument } from '../../instrument/instrument.ts';
import type { SystemReset } from '../../instrument/reset-heard.ts';
import { HOLDING_PEDALS } from '../../midi/pedals.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { type DrumKeyFit, fitDrumKeys } from './fit-drum-keys.ts';
import { fitKeys, type KeyFit } from './fit-keys.ts';
import { allBendRanges, type FitMarks } from './fit-marks.ts';
import { FitJudge, type JudgedSong, type SongAsSent } from './fit-measure.ts';
import { fitMessages, type MessageFit } from './fit-messages.ts';
import { fitParts, type PartFit, type PartsBy } from './fit-parts.ts';
import { fitPrograms, type ProgramFit } from './fit-programs.ts';
import { fitVoices } from './fit-voices.ts';
import { heardNotes } from './heard-notes.ts';
import { pedalledChannels } from './pedalled-channels.ts';
import { OWN_END } from './played-notes.ts';
import { type EditedRows, NEW_ROW, RowEdits, type SongEnd } from './row-edits.ts';
import { withNoteEnds } from './with-note-ends.ts';

export interface FitOptions {
  /** By how much melody and beat count for more than their weight when voices are short; 1 or more. */
  readonly keep: number;
  readonly marks: FitMarks;
  /** What parts are given to: as many notes as can be, or what is worth most; `none`: they stay as they are. */
  readonly partsBy: PartsBy;
  /** False: voices are left to the instrument. */
  readonly planVoices: boolean;
  /** System resets that stay as they are: one of all the instruments follows them. */
  readonly keptResets: ReadonlySet<SystemReset>;
}

/** What each stage did. Rows in lists are note-on rows of the columns given to `fitColumns`. */
export interface FittedColumns extends SongAsSent {
  /** As it stood before voices were planned. */
  readonly unplanned: JudgedSong;
  readonly programs: ProgramFit;
  readonly drumKeys: DrumKeyFit;
  readonly keys: KeyFit;
  readonly messages: MessageFit;
  readonly parts: Pick<PartFit, 'moves' | 'otherProgram' | 'withoutPart' | 'keyTaken'> | undefined;
  /** Note-ons whose program the instrument has, and which play in a part that has it. */
  readonly keepsProgram: Uint8Array;
  readonly withoutVoice: readonly number[];
  readonly shortened: readonly number[];
  readonly pedalsWrittenOut: readonly number[];
}

/** Rounds of planning voices; each leaves out or shortens notes, and three are usual. */
const MOST_ROUNDS = 40;

/** Percent: a note may be cut a tick before the moment a voice is needed, which an instrument that takes one spares it. */
export const TICK_LOSS_PERCENT = 0.005;

/** All stages, one after another. Columns → columns; those given are not changed. */
export function fitColumns(
  written: TimelineColumns,
  end: SongEnd,
  instrument: Instrument,
  { keep, marks, partsBy, planVoices, keptResets }: FitOptions,
): FittedColumns {
  const chain = new StageChain(written);
  const drums = marks.drumChannels;

  const programs = chain.edit(end, (columns, edits) => fitPrograms(columns, edits, instrument, drums));
  const keepsProgram = programs.keeps;
  const writtenOut = new Set(chain.writePedalsOut(end, instrument, drums));
  const drumKeys = chain.edit(
    end,
    (columns, edits) => fitDrumKeys(columns, edits, instrument, drums),
    rowsOfDrums,
  );
  const keys = chain.edit(end, (columns, edits) => fitKeys(columns, edits, instrument, drums), rowsOfKeys);
  const messages = chain.edit(end, (columns, edits) =>
    fitMessages(columns, edits, instrument, marks.bendRanges, keptResets),
  );

  const parted = partsBy === 'none' ? undefined : fitParts(chain.columns, end, instrument, drums, partsBy);
  const parts = parted && {
    moves: parted.moves,
    otherProgram: chain.rowsWritten(parted.otherProgram),
    withoutPart: chain.rowsWritten(parted.withoutPart),
    keyTaken: chain.rowsWritten(parted.keyTaken),
  };
  if (parted !== undefined) chain.go(parted);
  for (const row of [...(parts?.otherProgram ?? []), ...(parts?.withoutPart ?? [])]) keepsProgram[row] = 0;
  const drumChannels = parted?.drumChannels ?? drums;

  const withoutVoice: number[] = [];
  const shortened = new Set<number>();
  const fittedMarks: FitMarks = {
    drumChannels,
    bendRanges: messages.bendsMeanOwn ? allBendRanges(instrument.bendRangeSemitones) : marks.bendRanges,
  };
  // Roles are told anew from what is left in each round; where that errs, melody and beat get no extra weight.
  // Cut at the very tick a note loses least; where that goes wrong, a tick before.
  const tries = [false, true].flatMap((early) => [
    { weight: keep, early },
    { weight: 1, early },
  ]);
  // Judged by what is left after the stages before, which is what another fit would be given.
  const sounding = new StageChain(chain.columns);
  const judge = new FitJudge(chain.columns, end, instrument, fittedMarks);
  const unplanned = { columns: chain.columns, origin: chain.origin, marks: fittedMarks, judge };
  const lossOf = (rows: EditedRows) => judge.lossPercent({ ...rows, marks: fittedMarks });
  const rowsWritten = (rows: readonly number[]) => chain.rowsWritten(sounding.rowsWritten(rows));
  let unplannedLoss: number | undefined;
  for (let round = 0, attempt = 0; planVoices && round < MOST_ROUNDS && attempt < tries.length; round += 1) {
    const { weight, early } = tries[attempt]!;
    const voices = fitVoices(sounding.columns, end, instrument, drumChannels, weight, early);
    if (voices === undefined) break;
    unplannedLoss ??= lossOf(sounding);
    if (lossOf(sounding.after(voices)) > unplannedLoss + TICK_LOSS_PERCENT) {
      attempt += 1;
      continue;
    }
    attempt = 0;
    withoutVoice.push(...rowsWritten(voices.leftOut));
    for (const row of rowsWritten(voices.shortened)) shortened.add(row);
    for (const channel of voices.flattenedChannels) writtenOut.add(channel);
    sounding.go(voices);
  }
  chain.go(sounding);
  for (const row of withoutVoice) shortened.delete(row);
  return {
    columns: chain.columns,
    origin: chain.origin,
    marks: fittedMarks,
    unplanned,
    programs,
    drumKeys,
    keys,
    messages,
    parts,
    keepsProgram,
    withoutVoice,
    shortened: [...shortened],
    pedalsWrittenOut: [...writtenOut].sort((a, b) => a - b),
  };
}

type RowsIn<Fit> = (fit: Fit, rowsWritten: (rows: readonly number[]) => number[]) => Fit;

const rowsOfDrums: RowsIn<DrumKeyFit> = (fit, rowsWritten) => ({
  ...fit,
  withoutSound: rowsWritten(fit.withoutSound),
  withoutDrums: rowsWritten(fit.withoutDrums),
});

const rowsOfKeys: RowsIn<KeyFit> = (fit, rowsWritten) => ({
  ...fit,
  withoutKey: rowsWritten(fit.withoutKey),
  keyTaken: rowsWritten(fit.keyTaken),
});

/** Columns on their way through the stages, and which written row each of theirs was. */
class StageChain {
  columns: TimelineColumns;
  origin: Uint32Array;

  constructor(written: TimelineColumns) {
    this.columns = written;
    this.origin = Uint32Array.from({ length: written.count }, (_, row) => row);
  }

  /** @param rowsIn turns the rows that a stage tells of into rows as written */
  edit<Fit>(
    end: SongEnd,
    stage: (columns: TimelineColumns, edits: RowEdits) => Fit,
    rowsIn: RowsIn<Fit> = (fit) => fit,
  ): Fit {
    const edits = new RowEdits(this.columns);
    const fit = rowsIn(stage(this.columns, edits), (rows) => this.rowsWritten(rows));
    if (!edits.isEmpty) this.go(edits.made(end));
    return fit;
  }

  go(edited: EditedRows): void {
    const { columns, origin } = this.after(edited);
    this.columns = columns;
    this.origin = origin;
  }

  /** As it would stand, told in rows as written. */
  after({ columns, origin }: EditedRows): EditedRows {
    const before = this.origin;
    return { columns, origin: origin.map((row) => (row === NEW_ROW ? NEW_ROW : before[row]!)) };
  }

  rowsWritten(rows: readonly number[]): number[] {
    return rows.map((row) => this.origin[row]!);
  }

  /** Notes held by a pedal that the instrument does not follow are written as long as they are meant. */
  writePedalsOut(end: SongEnd, { controllers }: Instrument, drums: readonly number[]): readonly number[] {
    if (controllers === undefined) return [];
    const unknown = HOLDING_PEDALS.map(({ controller }) => controller).filter(
      (pedal) => !controllers.has(pedal),
    );
    const channels = pedalledChannels(this.columns, unknown);
    if (channels.length === 0) return [];
    const notes = heardNotes(this.columns, drums);
    const endOf = new Uint32Array(notes.count).fill(OWN_END);
    const ended = withNoteEnds(this.columns, end, notes, endOf, channels);
    if (ended !== undefined) this.go(ended);
    return channels;
  }
}
