import type { Instrument } from '../instrument/instrument.ts';
import type { Orchestra } from '../instrument/orchestra.ts';
import { controllerName } from '../midi/controllers.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { channelMessageBytes } from '../wire/message-length.ts';
import { reportedSoundName } from './instrument-check.ts';
import type { ChannelCheck, ChannelProgram } from './song-check.ts';

interface Census {
  /** By bank and program, in the order in which they came. */
  readonly programs: Map<string, ChannelProgram>;
  readonly controllers: Uint32Array;
  bank: readonly [msb: number, lsb: number];
  notes: number;
  lowest: number;
  highest: number;
  bends: number;
  pressures: number;
  firstRow: number;
  lastRow: number;
  bytes: number;
}

/**
 * What each channel that is used at all does.
 * @param mostOnChannel [16] most keys sounding at once
 */
export function channelCensusOf(
  timeline: Timeline,
  mostOnChannel: Uint16Array,
  orchestra: Orchestra,
): ChannelCheck[] {
  const { columns, meterMap } = timeline;
  const channels = Array.from({ length: 16 }, emptyCensus);
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (status >= 0xf0) continue;
    const census = channels[status & 0x0f]!;
    if (census.firstRow < 0) census.firstRow = row;
    census.lastRow = row;
    census.bytes += channelMessageBytes(status);
    count(
      census,
      orchestra[status & 0x0f]!,
      status,
      columns.data1[row]!,
      columns.data2[row]!,
      isNoteOn(columns, row),
    );
  }
  // What ends the song at a bar line belongs to the bar before: after it there is none.
  const lastTick = Math.max(0, timeline.endTick - 1);
  const barOf = (row: number) => meterMap.barBeatAt(Math.min(columns.tick[row]!, lastTick)).bar;
  return channels.flatMap((census, channel) =>
    census.firstRow < 0
      ? []
      : [
          {
            channel: channel + 1,
            programs: [...census.programs.values()],
            notes: census.notes,
            lowestKey: census.notes > 0 ? census.lowest : null,
            highestKey: census.notes > 0 ? census.highest : null,
            mostNotesAtOnce: mostOnChannel[channel]!,
            controllers: controllersOf(census.controllers),
            bends: census.bends,
            pressures: census.pressures,
            firstBar: barOf(census.firstRow),
            lastBar: barOf(census.lastRow),
            bytes: census.bytes,
          },
        ],
  );
}

function emptyCensus(): Census {
  return {
    programs: new Map(),
    controllers: new Uint32Array(128),
    bank: [0, 0],
    notes: 0,
    lowest: 127,
    highest: 0,
    bends: 0,
    pressures: 0,
    firstRow: -1,
    lastRow: -1,
    bytes: 0,
  };
}

function count(
  census: Census,
  instrument: Instrument,
  status: number,
  data1: number,
  data2: number,
  isStrike: boolean,
): void {
  switch (status & 0xf0) {
    case 0x90:
      if (!isStrike) return;
      census.notes += 1;
      census.lowest = Math.min(census.lowest, data1);
      census.highest = Math.max(census.highest, data1);
      return;
    case 0xb0:
      census.controllers[data1]! += 1;
      if (data1 === 0) census.bank = [data2, census.bank[1]];
      if (data1 === 32) census.bank = [census.bank[0], data2];
      return;
    case 0xc0: {
      const [bankMsb, bankLsb] = census.bank;
      const name = reportedSoundName(instrument, status & 0x0f, bankMsb, bankLsb, data1);
      census.programs.set(`${bankMsb} ${bankLsb} ${data1}`, {
        program: data1 + 1,
        bankMsb,
        bankLsb,
        name,
      });
      return;
    }
    case 0xe0:
      census.bends += 1;
      return;
    case 0xa0:
    case 0xd0:
      census.pressures += 1;
  }
}

function controllersOf(counts: Uint32Array): ChannelCheck['controllers'] {
  return Array.from(counts, (times, number) => ({
    number,
    name: controllerName(number),
    count: times,
  })).filter((controller) => controller.count > 0);
}
