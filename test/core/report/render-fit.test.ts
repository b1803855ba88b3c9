import { expect, test } from 'vitest';
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
