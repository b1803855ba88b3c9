import { expect, test } from 'vitest';
import { partChannels } from '../../../../src/core/arrange/fit/fit-parts.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { LEFT_OUT, OWN_END } from '../../../../src/core/arrange/fit/played-notes.ts';
import { unheardNotes } from '../../../../src/core/arrange/fit/unheard-notes.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText } from './rows-as-text.ts';

/** One letter for each note: heard or silent. */
function heard(traits: Partial<Instrument>, ...lines: string[]): string {
  const notes = heardNotes(columnsOfText(...lines), [9]);
  const words = new Map([
    [OWN_END, 'h'],
    [LEFT_OUT, 's'],
  ]);
  return Array.from(unheardNotes(notes, { ...GENERAL_MIDI, ...traits }), (end) => words.get(end)).join('');
}

test('keys of the range sound, to its very ends; drums have none', () => {
  const keys = { low: 0x30, high: 0x50 };
  expect(heard({ keys }, '0 90 2F 40', '1 90 30 40', '2 90 50 40', '3 90 51 40')).toBe('shhs');
  expect(heard({ keys }, '0 99 24 40')).toBe('h');
});

test('drums sound where the instrument plays drums, those it has, or all where it lists none', () => {
  const drums = { channels: [9], keys: new Map([[36, 'bass drum']]), kits: new Map() };
  expect(heard({ drums }, '0 99 24 40', '1 99 25 40')).toBe('hs');
  expect(heard({ drums: { ...drums, keys: new Map() } }, '0 99 24 40', '1 99 25 40')).toBe('hh');
  expect(heard({ drums: { ...drums, channels: [10] } }, '0 99 24 40')).toBe('s');
});

test('channels that are heard get its parts, lower numbers first; one without notes takes none, nor do drums', () => {
  const three = ['0 99 24 40', '0 92 3C 40', '1 94 3C 40', '2 95 3C 40'];
  expect(heard({ channels: [4, 5, 9] }, ...three)).toBe('hshh');
  expect(heard({ parts: 2 }, ...three)).toBe('hhhs');
  expect(heard({ parts: 0 }, ...three)).toBe('hsss');
  // A melody on what are drums there is none.
  const drums = { ...GENERAL_MIDI.drums, channels: [4] };
  expect(heard({ drums }, ...three)).toBe('shsh');
});

test('channels for melodies: those that are no drums, and no more parts than there are', () => {
  const of = (parts: number) => partChannels({ ...GENERAL_MIDI, channels: [1, 2, 9], parts });
  expect(of(1)).toEqual({ all: [1, 2], count: 1 });
  expect(of(5)).toEqual({ all: [1, 2], count: 2 });
});
