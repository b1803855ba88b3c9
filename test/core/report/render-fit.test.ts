import { describe, expect, test } from 'vitest';
import type { FitDocument } from '../../../src/core/arrange/fit/fit-document.ts';
import { renderFit } from '../../../src/core/report/render-fit.ts';

/** A fit in which everything that is counted came so many times. */
function fitOf(notes: number): FitDocument {
  const measure = { notes, notesCut: 0, lossPercent: 0, mostVoices: 1, parts: 1 };
  const none = { noVoice: 0, noPart: 0, noDrums: 0, noDrumSound: 0, noKey: 0, keyTaken: 0 };
  return {
    schema: 'wirepit-fit/1',
    file: 'one.mid',
    instrument: 'A Box',
    keep: 0,
    changed: true,
    before: measure,
    after: measure,
    keptProgramPercent: 0,
    programs: [{ channel: 1, from: 1, to: 2, toName: 'Reed', why: 'family', notes }],
    moved: [
      { what: 'key', channel: 1, from: 60, to: 60 + 12 * notes, notes },
      { what: 'drum-key', channel: 10, from: 36, to: 35, notes },
    ],
    shortened: notes,
    leftOut: {
      notes: { ...none, noPart: notes },
      controllers: [],
      parameters: [{ parameter: '0/0', count: notes }],
      resets: notes,
      banks: notes,
    },
    resetsExchanged: [{ from: 'gm2-on', to: 'gm-on', count: notes }],
    putIn: { programChannels: [1], bendRangeChannels: [], resetMessages: notes },
    bendsScaledChannels: [],
    pedalsWrittenOutChannels: [],
    instruments: [],
    channels: [],
    bars: [],
  };
}

test.each([
  [
    1,
    [
      'the first program put in, before any note, on channel 1',
      'channel 1: program 1 becomes 2 Reed (of its family), 1 note',
      'channel 1: key 60 goes 1 octave up, 1 note',
      'channel 10: drum 36 becomes 35, 1 note',
      '1 note left out for want of a part',
      '1 note shortened',
      '1 message for registered parameter 0/0 left out: it is not followed',
      '1 reset left out: it is not understood',
      '1 × General MIDI 2 System On becomes General MIDI System On, which is followed',
      '1 bank selection left out: that bank is not there',
      '1 message put in for what resets would have done',
    ],
  ],
  [
    2,
    [
      'the first program put in, before any note, on channel 1',
      'channel 1: program 1 becomes 2 Reed (of its family), 2 notes',
      'channel 1: key 60 goes 2 octaves up, 2 notes',
      'channel 10: drum 36 becomes 35, 2 notes',
      '2 notes left out for want of a part',
      '2 notes shortened',
      '2 messages for registered parameter 0/0 left out: it is not followed',
      '2 resets left out: they are not understood',
      '2 × General MIDI 2 System On becomes General MIDI System On, which is followed',
      '2 bank selections left out: those banks are not there',
      '2 messages put in for what resets would have done',
    ],
  ],
])('%i of each, in the words of that number', (notes, words) => {
  const lines = renderFit(fitOf(notes), { clean: (text) => text, out: undefined }).map((line) => line.trim());
  for (const line of words) expect(lines).toContain(line);
});

describe('the whole of it, of two instruments', () => {
  const measure = (
    notes: number,
    notesCut: number,
    lossPercent: number,
    mostVoices: number,
    parts: number,
  ) => ({
    ...{ notes, notesCut, lossPercent, mostVoices, parts },
  });
  const outcome = { port: 'a', drums: false, leftOut: 0, shortened: 0, otherProgram: 0, leftOutWhy: null };
  const instrument = {
    keptProgramPercent: 100,
    after: measure(1, 0, 0, 1, 1),
    before: measure(1, 0, 0, 1, 1),
  };
  const nothing = fitOf(0);
  const DOCUMENT: FitDocument = {
    ...nothing,
    before: measure(1500, 12, 3.456, 24, 5),
    after: measure(1500, 3, 0.009, 16, 4),
    keptProgramPercent: 87.65,
    programs: [],
    moved: [
      { what: 'channel', from: 11, to: 10, why: 'drums', notes: 4 },
      { what: 'part-key', channel: 3, from: 48, to: 24, notes: 5 },
      { what: 'key', channel: 4, from: 100, to: 88, notes: 1 },
    ],
    leftOut: {
      ...nothing.leftOut,
      notes: { noVoice: 1, noPart: 0, noDrums: 2, noDrumSound: 3, noKey: 4, keyTaken: 5 },
      controllers: [{ controller: 91, name: 'Reverb Send', count: 7 }],
      parameters: [],
    },
    putIn: { programChannels: [], bendRangeChannels: [2, 4], resetMessages: 0 },
    resetsExchanged: [],
    bendsScaledChannels: [5],
    pedalsWrittenOutChannels: [6, 7],
    instruments: [
      { ...instrument, port: 'a', channels: [1, 2, 3], name: 'Piano', hears: [1], hearsElsewhere: [10, 11] },
      { ...instrument, port: 'long', channels: [10], name: 'Box', hears: [], hearsElsewhere: [1] },
    ],
    channels: [
      { ...outcome, channel: 1, notes: 1, playsOn: [1] },
      { ...outcome, channel: 2, notes: 1400, playsOn: [1, 2], leftOut: 3, shortened: 2, otherProgram: 1 },
      { ...outcome, channel: 3, notes: 9, playsOn: [] },
      { ...outcome, channel: 10, port: 'long', drums: true, notes: 90, playsOn: [] },
    ],
    bars: [{ bar: 12, before: 10, after: 0.25 }],
  };
  const report = (more: Partial<FitDocument> = {}, out?: string) =>
    renderFit({ ...DOCUMENT, ...more }, { clean: (text) => text, out });
  const sectionOf = (lines: readonly string[], head: RegExp): readonly string[] => {
    const from = lines.findIndex((line) => head.test(line));
    const length = lines.slice(from).indexOf('');
    return from < 0 ? [] : lines.slice(from, length < 0 ? undefined : from + length);
  };

  test('how it fares: all together, and each by itself, figures below one another', () => {
    const lines = report();
    expect(lines.slice(0, 11)).toEqual([
      'one.mid on a (Piano), long (Box)',
      '',
      '                    notes  not heard in full     loss  voices wanted  parts',
      'as written           1500                 12   3.46 %             24      5',
      'fitted               1500                  3  <0.01 %             16      4',
      'a as written            1                  0   0.00 %              1      1',
      'a fitted                1                  0   0.00 %              1      1',
      'long as written         1                  0   0.00 %              1      1',
      'long fitted             1                  0   0.00 %              1      1',
      '',
      '87.7 % of the notes that are no drums keep their program.',
    ]);
    expect(lines.at(-1)).toBe('Nothing was written; --out names a file.');
    expect(report({ before: measure(1, 0, 0.01, 1, 1) })[3]).toMatch(/ 0\.01 % /);
  });

  test('what became of each channel, and what a map sends past an instrument', () => {
    expect(sectionOf(report(), /^Channels/)).toEqual([
      'Channels',
      '   1        at a          1 note   plays on 1',
      '   2        at a       1400 notes  plays on 1, 2; 3 left out; 2 shortened; 1 with another sound',
      '   3        at a          9 notes  not heard',
      '  10 drums  at long      90 notes  not heard',
      'a (Piano) plays nothing of channel 3; it also hears channels 10, 11, which the map sends elsewhere',
      'long (Box) plays nothing of channel 10; it hears channel 1, which the map sends elsewhere',
    ]);
    // Nothing is lost, or there is no other channel that would be heard.
    const all = DOCUMENT.channels.map((one) => ({ ...one, playsOn: [1] }));
    const none = DOCUMENT.instruments.map((one) => ({ ...one, hearsElsewhere: [] }));
    for (const more of [{ channels: all }, { instruments: none }])
      expect(sectionOf(report(more), /^Channels/)).toHaveLength(5);
  });

  test('of one instrument the port is not told', () => {
    const channels = DOCUMENT.channels.map((one) => ({ ...one, port: null }));
    const lines = report({ instruments: [], channels });
    expect(lines[0]).toBe('one.mid on A Box');
    expect(sectionOf(lines, /^Channels/)[1]).toBe('   1             1 note   plays on 1');
  });

  test('keys: a channel that moved is told elsewhere', () => {
    expect(sectionOf(report(), /^Keys/)).toEqual([
      'Keys',
      '  channel 3: the part goes 2 octaves down, 5 notes',
      '  channel 4: key 100 goes 1 octave down, 1 note',
    ]);
    expect(sectionOf(report({ moved: DOCUMENT.moved.slice(0, 1) }), /^Keys/)).toEqual([]);
  });

  test('changes, each in a line, and no section where there are none', () => {
    expect(sectionOf(report(), /^Changes/)).toEqual([
      'Changes',
      '  1 note left out for want of a voice',
      '  2 notes left out as there are no drums',
      '  3 notes left out for want of a drum sound',
      '  4 notes left out for want of a key in any octave',
      '  5 notes left out as the new key sounds already',
      '  7 × controller 91 (Reverb Send) left out: it is not followed',
      '  bend range put in on channels 2, 4',
      "  bends made to fit the instrument's range on channel 5",
      '  pedals written out as longer notes on channels 6, 7',
    ]);
    const one = report({ pedalsWrittenOutChannels: [6], bendsScaledChannels: [] });
    expect(sectionOf(one, /^Changes/).at(-1)).toBe('  pedals written out as longer notes on channel 6');
    const no = { ...nothing, moved: [], programs: [], changed: false };
    const parameters = { ...nothing.leftOut, parameters: [] };
    const none = {
      putIn: { ...nothing.putIn, programChannels: [] },
      resetsExchanged: [],
      leftOut: parameters,
    };
    const lines = renderFit({ ...no, ...none }, { clean: (text) => text, out: 'b.mid' });
    for (const head of [/^Changes/, /^Keys/, /^Programs/, /^Loss by bar/])
      expect(sectionOf(lines, head)).toEqual([]);
    expect(lines.slice(-2)).toEqual([
      'Nothing is to be changed: as it is, it plays as well as it can.',
      'Written to b.mid.',
    ]);
  });

  test('the eight bars that lose most once fitted, then most before, in the order of the song', () => {
    expect(sectionOf(report(), /^Loss/)).toEqual([
      'Loss by bar',
      '  bar   12   10.0 % before    0.3 % after',
    ]);
    const bars = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10].map((bar) => ({
      bar,
      before: bar === 3 ? 50 : 10 * (bar % 2),
      after: bar === 9 ? 4 : bar === 10 ? 3 : bar === 2 ? 2 : 1,
    }));
    const told = sectionOf(report({ bars }), /^Loss/);
    expect(told[0]).toBe('Loss by bar (the 8 worst of 10)');
    expect(told.slice(1).map((line) => Number(line.slice(6, 10)))).toEqual([1, 2, 3, 4, 5, 7, 9, 10]);
    expect(sectionOf(report({ bars: bars.slice(2) }), /^Loss/)[0]).toBe('Loss by bar');
  });
});
