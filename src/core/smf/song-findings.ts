import type { FindingKind } from './finding.ts';

/**
 * Everything the reader tolerates, and the sentence it is told in. "SMF" is the Standard MIDI-File Format
 * Spec. 1.1; where it is silent the sentence says what was assumed.
 */
export const SONG_FINDINGS = {
  // Around the chunks
  'bytes-before-header': {
    severity: 'note',
    sentence: 'Passed over {count bytes} before the header (MThd).',
  },
  'riff-wrapper': { severity: 'note', sentence: 'The song lies in a RIFF RMID wrapper.' },
  'alien-chunk': {
    severity: 'note',
    sentence: 'Skipped a chunk named "{name}" ({count bytes}), which is no track.',
  },
  'chunk-name': {
    severity: 'problem',
    sentence: 'A chunk named "{name}" is read as {taken}: one byte of its name is damaged.',
  },
  'bytes-between-chunks': {
    severity: 'warning',
    sentence: 'Passed over {count bytes} outside any chunk.',
  },
  'trailing-bytes': {
    severity: 'note',
    sentence: 'Passed over {count bytes} after the last track.',
  },
  'second-song': { severity: 'warning', sentence: 'A second song begins here; only the first is read.' },

  // Header
  'header-missing': {
    severity: 'warning',
    sentence: 'There is no header (MThd); format 1 and {ticks} ticks a quarter note are assumed.',
  },
  'header-length': {
    severity: 'note',
    sentence: 'The header says it is {said bytes} long; the standard says 6.',
  },
  'header-cut-short': {
    severity: 'problem',
    sentence: 'The header is cut short; {ticks} ticks a quarter note are assumed.',
  },
  'format-unknown': {
    severity: 'warning',
    sentence: 'Format {format} is not known; its tracks are read all the same.',
  },
  'format-0-tracks': {
    severity: 'note',
    sentence: 'Format 0 has one track; this file has {found}, and all of them are read.',
  },
  'track-count': {
    severity: 'warning',
    sentence: 'The header counts {said tracks}, the file holds {found}; all of them are read.',
  },
  'division-zero': {
    severity: 'problem',
    sentence: 'The header says 0 ticks a quarter note; {ticks} are assumed, so the tempo may be wrong.',
  },
  'division-rate': {
    severity: 'problem',
    sentence: 'The header says {rate} frames a second, which is no SMPTE rate; {assumed} is assumed.',
  },
  'division-ticks': {
    severity: 'problem',
    sentence: 'The header says 0 ticks a frame; {ticks} are assumed.',
  },

  // Tracks
  'track-length': {
    severity: 'warning',
    sentence:
      'Track {track} says it is {said bytes} long; its events fill {found}, and all of them are read.',
  },
  'track-cut-short': {
    severity: 'problem',
    sentence:
      'Track {track} says it is {said bytes} long, but the file ends after {found}: the rest is lost.',
  },
  'end-of-track-missing': { severity: 'note', sentence: 'Track {track} has no end-of-track event.' },
  'events-after-end-of-track': {
    severity: 'warning',
    sentence: 'Track {track} goes on after an end-of-track event; what follows is kept.',
  },
  'bytes-after-end-of-track': {
    severity: 'note',
    sentence: 'Track {track}: left out {count bytes} after the end-of-track event.',
  },
  'tracks-too-many': {
    severity: 'problem',
    sentence: 'There are more than {limit} tracks; the rest is left out.',
  },
  'events-too-many': {
    severity: 'problem',
    sentence: 'There are more than {limit} events; the rest is left out.',
  },

  // Events
  'event-cut-short': {
    severity: 'problem',
    sentence: 'Track {track} ends in mid-event; that event is lost.',
  },
  'length-over-long': {
    severity: 'warning',
    sentence: 'A variable-length number takes {count bytes}; the standard allows 4.',
  },
  'delta-absurd': {
    severity: 'problem',
    sentence: 'A delta time is larger than a file can hold; 0 is taken.',
  },
  'tick-limit': {
    severity: 'problem',
    sentence: 'Track {track} is longer than 4,294,967,295 ticks; later events stay there.',
  },
  'status-missing': {
    severity: 'problem',
    sentence: 'Passed over {count bytes} of data with no status before.',
  },
  'running-status-cancelled': {
    severity: 'note',
    sentence:
      'Running status is used after a SysEx or meta event, which cancels it; the last channel status is taken.',
  },
  'data-byte-high': {
    severity: 'problem',
    sentence: '{name} with a first data byte of {value} (at most 127 is allowed) is left out.',
  },
  'value-high': {
    severity: 'warning',
    sentence: '{name} with a value of {value} is read as 127, the highest allowed.',
  },
  'system-message': {
    severity: 'warning',
    sentence: '{name} ({hex}) cannot stand in a file like this; it is left out.',
  },
  'real-time-inside': { severity: 'warning', sentence: '{name} ({hex}) inside another message is left out.' },
  'meta-type-high': {
    severity: 'warning',
    sentence: 'A meta event of type {hex} does not exist; it is left out.',
  },
  'meta-length': {
    severity: 'warning',
    sentence: '{name} says it is {said bytes} long, the standard says {expected}; {found} taken.',
  },
  'meta-cut': {
    severity: 'problem',
    sentence: '{name} says it is {said bytes} long, more than there are; {found} taken.',
  },
  'sysex-length': {
    severity: 'problem',
    sentence: 'A SysEx message says it is {said bytes} long; {found} taken, as its data show.',
  },
  'sysex-status-bytes': {
    severity: 'warning',
    sentence: 'A SysEx message holds status bytes among its data.',
  },
  'continuation-alone': {
    severity: 'problem',
    sentence: 'An F7 event says it is {said bytes} long, more than there are; it is left out.',
  },
} as const satisfies Readonly<Record<string, FindingKind>>;

export type SongFindingCode = keyof typeof SONG_FINDINGS;
