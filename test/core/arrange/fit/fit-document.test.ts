import { describe, expect, test } from 'vitest';
import { channelOutcomes } from '../../../../src/core/arrange/fit/channel-outcomes.ts';
import { fitDocument } from '../../../../src/core/arrange/fit/fit-document.ts';
import type { SeatFit } from '../../../../src/core/arrange/fit/fit-seat.ts';
import type { OrchestraFit } from '../../../../src/core/arrange/fit/fit-song.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { NEW_ROW } from '../../../../src/core/arrange/fit/row-edits.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { songBytes } from '../../../support/song-bytes.ts';
import { columnsOfText } from './rows-as-text.ts';

/** Rows 0 to 3: three notes of channel 1 and one of the drums; none of them is ended. */
const WRITTEN = columnsOfText('0 90 3C 40', '1 90 3E 40', '2 90 40 40', '3 99 24 40');
const NOTHING = {
  programs: { moves: [], banksDropped: 0, putIn: [] as number[] },
  drumKeys: { moves: [], withoutSound: [] as number[], withoutDrums: [] as number[] },
  keys: { moves: [], withoutKey: [] as number[], keyTaken: [] as number[] },
  messages: {
    controllers: new Map<number, number>(),
    parameters: new Map<number, number>(),
    resetMoves: [] as unknown[],
    resetsWrittenOut: 0,
    rangesPutIn: [] as number[],
    bendsScaled: [] as number[],
  },
  parts: undefined as unknown,
  keepsProgram: Uint8Array.of(1, 1, 1, 1),
  withoutVoice: [] as number[],
  shortened: [] as number[],
  pedalsWrittenOut: [] as number[],
  columns: WRITTEN,
  origin: Uint32Array.of(0, 1, 2, 3),
};

interface Told {
  readonly port?: string;
  readonly channels?: readonly number[];
  readonly hears?: readonly number[];
  readonly fitted?: Partial<typeof NOTHING>;
  readonly lost?: readonly [before: number[], after: number[]];
}

function seat({ port, channels = [0, 9], hears = [0, 9], fitted = {}, lost = [[], []] }: Told): SeatFit {
  const measure = (parts: number, of: readonly number[]) => ({
    ...{ notes: 4, notesCut: parts + 1, mostVoices: 10 * parts, parts },
    lost: Float64Array.from({ length: 4 }, (_, note) => of[note] ?? 0),
  });
  return {
    seat: { port, channels, instrument: { ...GENERAL_MIDI, name: `The ${port ?? 'one'}`, channels: hears } },
    written: WRITTEN,
    judge: { notes: heardNotes(WRITTEN, [9]), worth: Float64Array.of(1, 1, 1, 3) },
    before: measure(1, lost[0]),
    after: measure(2, lost[1]),
    fitted: { ...NOTHING, ...fitted },
  } as unknown as SeatFit;
}

function documentOf(...seats: readonly SeatFit[]) {
  const timeline = buildTimeline(readSong(songBytes([[]])));
  const fit = { song: undefined, seats, resetsLeftOut: 3 } satisfies OrchestraFit;
  return fitDocument('a.mid', timeline, 2, fit);
}

describe('a fit, as fit --json has it', () => {
  test('one instrument behind all channels: no ports, nothing done', () => {
    expect(documentOf(seat({}))).toMatchObject({
      ...{ schema: 'wirepit-fit/1', file: 'a.mid', instrument: 'The one', keep: 2, changed: false },
      before: { notes: 4, notesCut: 2, lossPercent: 0, mostVoices: 10, parts: 1 },
      after: { notes: 4, notesCut: 3, lossPercent: 0, mostVoices: 20, parts: 2 },
      ...{ keptProgramPercent: 100, programs: [], moved: [], shortened: 0 },
      leftOut: {
        notes: { noVoice: 0, noPart: 0, noDrums: 0, noDrumSound: 0, noKey: 0, keyTaken: 0 },
        ...{ controllers: [], parameters: [], resets: 3, banks: 0 },
      },
      putIn: { programChannels: [], bendRangeChannels: [], resetMessages: 0 },
      ...{ bendsScaledChannels: [], pedalsWrittenOutChannels: [], resetsExchanged: [], instruments: [] },
      ...{
        bars: [],
        channels: [
          { channel: 1, port: null },
          { channel: 10, port: null },
        ],
      },
    });
  });

  test('channels and programs count from 1, keys and velocities as they are; a program without a name has that of GM', () => {
    const moves = [
      { channel: 2, from: 0, to: 73, toName: '', why: 'any', notes: 4 },
      { channel: 3, from: 5, to: 6, toName: 'Mine', why: 'kit', notes: 1 },
    ];
    const key = (what: string, channel: number) => ({ what, channel, from: 40, to: 52, notes: 2 });
    const fitted = {
      programs: { moves, banksDropped: 2, putIn: [4, 1] },
      drumKeys: { ...NOTHING.drumKeys, moves: [key('drum', 9)] },
      keys: { ...NOTHING.keys, moves: [key('part', 0), key('note', 1)] },
      parts: {
        moves: [{ from: 5, to: 0, why: 'program', notes: 7 }],
        ...{ withoutPart: [1], keyTaken: [2], otherProgram: [] },
      },
    } as unknown as Partial<typeof NOTHING>;
    const document = documentOf(seat({ fitted }));
    expect(document.programs).toEqual([
      { channel: 3, from: 1, to: 74, toName: 'Flute', why: 'any', notes: 4 },
      { channel: 4, from: 6, to: 7, toName: 'Mine', why: 'kit', notes: 1 },
    ]);
    expect(document.moved).toEqual([
      { what: 'channel', from: 6, to: 1, why: 'program', notes: 7 },
      { what: 'drum-key', channel: 10, from: 40, to: 52, notes: 2 },
      { what: 'part-key', channel: 1, from: 40, to: 52, notes: 2 },
      { what: 'key', channel: 2, from: 40, to: 52, notes: 2 },
    ]);
    expect(document.putIn.programChannels).toEqual([2, 5]);
    expect(document.leftOut.banks).toBe(2);
    expect(document.leftOut.notes).toMatchObject({ noPart: 1, keyTaken: 1 });
  });

  test('of two instruments what is counted is added up, and what is listed comes once, in order', () => {
    const of = (channels: number[], n: number) => ({
      messages: {
        ...NOTHING.messages,
        controllers: new Map([[1, n], ...(n > 1 ? [[91, 5] as const] : [])]),
        parameters: new Map([[(3 << 7) | 5, n]]),
        rangesPutIn: channels,
        bendsScaled: channels,
        resetsWrittenOut: n,
        resetMoves: [
          { from: 'gm2-on', to: 'gm-on', count: 2 },
          ...(n > 1 ? [{ from: 'gm-on', to: 'gm2-on', count: 1 }] : []),
        ],
      },
      ...{ withoutVoice: channels.slice(0, 1), shortened: channels, pedalsWrittenOut: channels },
      drumKeys: { ...NOTHING.drumKeys, withoutSound: [3], withoutDrums: channels },
      keys: { ...NOTHING.keys, withoutKey: [0], keyTaken: channels },
      keepsProgram: Uint8Array.of(0, 1, 1, 0),
    });
    const lost: readonly [number[], number[]] = [
      [1, 0.5, 0, 0],
      [0, 0.25, 0, 0],
    ];
    const document = documentOf(
      seat({ port: 'a', channels: [1, 2], hears: [2, 3], fitted: of([3, 1, 2], 1), lost }),
      seat({ port: 'b', channels: [3, 9], hears: [3, 4, 9], fitted: of([2, 0], 2) }),
    );
    expect(document.instrument).toBe('The a, The b');
    // 1.5 and 0.25 of 12 that are worth hearing.
    expect(document.before).toEqual({ notes: 8, notesCut: 4, lossPercent: 12.5, mostVoices: 20, parts: 2 });
    expect(document.after).toEqual({ notes: 8, notesCut: 6, lossPercent: 2.0833, mostVoices: 40, parts: 4 });
    expect(document.keptProgramPercent).toBe(66.6667);
    expect(document.leftOut).toEqual({
      notes: { noVoice: 2, noPart: 0, noDrums: 5, noDrumSound: 2, noKey: 2, keyTaken: 5 },
      controllers: [
        { controller: 1, name: 'Modulation', count: 3 },
        { controller: 91, name: 'Reverb Send', count: 5 },
      ],
      parameters: [{ parameter: '3/5', count: 3 }],
      ...{ resets: 3, banks: 0 },
    });
    expect(document.shortened).toBe(5);
    expect(document.putIn).toEqual({
      programChannels: [],
      bendRangeChannels: [1, 2, 3, 4],
      resetMessages: 3,
    });
    expect(document.bendsScaledChannels).toEqual([1, 2, 3, 4]);
    expect(document.pedalsWrittenOutChannels).toEqual([1, 2, 3, 4]);
    expect(document.resetsExchanged).toEqual([
      { from: 'gm2-on', to: 'gm-on', count: 2 },
      { from: 'gm-on', to: 'gm2-on', count: 1 },
    ]);
    expect(document.instruments).toEqual([
      {
        ...{ port: 'a', channels: [2, 3], name: 'The a', hears: [3], hearsElsewhere: [4] },
        before: { notes: 4, notesCut: 2, lossPercent: 25, mostVoices: 10, parts: 1 },
        after: { notes: 4, notesCut: 3, lossPercent: 4.1667, mostVoices: 20, parts: 2 },
        keptProgramPercent: 66.6667,
      },
      {
        ...{ port: 'b', channels: [4, 10], name: 'The b', hears: [4, 10], hearsElsewhere: [5] },
        before: { notes: 4, notesCut: 2, lossPercent: 0, mostVoices: 10, parts: 1 },
        after: { notes: 4, notesCut: 3, lossPercent: 0, mostVoices: 20, parts: 2 },
        keptProgramPercent: 66.6667,
      },
    ]);
    expect(document.channels.map(({ channel, port }) => [channel, port])).toEqual([
      [1, 'a'],
      [1, 'b'],
      [10, 'a'],
      [10, 'b'],
    ]);
  });
});

describe('what became of a channel', () => {
  test('where its notes play now, how many are not sent, and why most are not', () => {
    // The second note is gone, the third plays on channel 4; a new note stands before them.
    const columns = columnsOfText('0 95 3C 40', '0 90 3C 40', '2 93 40 40', '2 93 40 00', '3 99 24 40');
    const fitted = {
      columns,
      origin: Uint32Array.of(NEW_ROW, 0, 2, NEW_ROW, 3),
      keepsProgram: Uint8Array.of(1, 0, 0, 1),
      shortened: [2, 0],
      withoutVoice: [1],
      keys: { ...NOTHING.keys, withoutKey: [0, 1] },
    };
    expect(channelOutcomes(seat({ fitted }))).toEqual([
      {
        ...{ channel: 1, drums: false, notes: 3, playsOn: [1, 4], leftOut: 1, leftOutWhy: 'noKey' },
        ...{ shortened: 2, otherProgram: 2 },
      },
      {
        ...{ channel: 10, drums: true, notes: 1, playsOn: [10], leftOut: 0, leftOutWhy: null },
        ...{ shortened: 0, otherProgram: 0 },
      },
    ]);
  });

  test('of reasons as frequent the first that is told; parts count among them', () => {
    const parts = { moves: [], otherProgram: [], withoutPart: [1], keyTaken: [0, 2, 3] };
    const of = (fitted: object) =>
      channelOutcomes(seat({ fitted: fitted as Partial<typeof NOTHING> })).map(
        ({ leftOutWhy }) => leftOutWhy,
      );
    expect(of({ withoutVoice: [0], parts: { ...parts, keyTaken: [] } })).toEqual(['noVoice', null]);
    expect(of({ withoutVoice: [0], parts })).toEqual(['keyTaken', 'keyTaken']);
    expect(of({ drumKeys: { ...NOTHING.drumKeys, withoutSound: [3], withoutDrums: [1] } })).toEqual([
      'noDrums',
      'noDrumSound',
    ]);
  });
});

test('where nothing is worth hearing nothing is lost, and without melodies all programs are kept', () => {
  const empty = columnsOfText('3 99 24 40');
  const fit = {
    ...seat({ fitted: { columns: empty, origin: Uint32Array.of(0), keepsProgram: Uint8Array.of(0) } }),
    written: empty,
    judge: { notes: heardNotes(empty, [9]), worth: Float64Array.of(0) },
  } as unknown as SeatFit;
  expect(documentOf(fit)).toMatchObject({ before: { lossPercent: 0 }, keptProgramPercent: 100 });
});
