import type { SongFindingCode } from '../smf/song-findings.ts';
import type { TimelineFindingCode } from '../timeline/timeline-finding.ts';
import type { Guide } from './guide.ts';
import type { InstrumentFindingCode } from './instrument-finding.ts';
import type { ProblemCode } from './song-check.ts';

const NOTHING = 'Nothing.';
const COPY_AGAIN = 'Copy the file again from where it came from; what was read plays.';
const LISTEN_THERE =
  'Listen there; if something is missing, copy the file again or mend it where it was written.';
const SAVE_ANEW = 'Nothing; saved anew by the program it came from, the file would say it right.';

/** Findings in the file's structure. The type wants a row for each code, and lets none stand that is gone. */
export const SONG_GUIDE: Readonly<Record<SongFindingCode, Guide>> = {
  'bytes-before-header': {
    means: 'Something was put before the song, as mail and archives do.',
    toDo: NOTHING,
  },
  'riff-wrapper': { means: 'The song is packed in a container; it is read from there.', toDo: NOTHING },
  'alien-chunk': {
    means: 'A part that only some programs know; a reader must skip it (SMF 1.1, section 1.3).',
    toDo: NOTHING,
  },
  'chunk-name': { means: 'The file was damaged on its way; other bytes may be wrong too.', toDo: COPY_AGAIN },
  'bytes-between-chunks': {
    means: 'What lies between two tracks is lost; often a track whose name is destroyed.',
    toDo: 'Compare the number of tracks with the original; copy the file again.',
  },
  'trailing-bytes': { means: 'Padding or a remark after the song.', toDo: NOTHING },
  'second-song': {
    means: 'Two files were joined into one.',
    toDo: 'Cut it at the byte named, to play the second as a file of its own.',
  },

  'header-missing': {
    means: 'The beginning is lost. The tempo may be wrong, as the ticks of a quarter note are a guess.',
    toDo: 'Copy the file again; else find the right speed with --tempo.',
  },
  'header-length': { means: 'Longer headers are allowed for; what is extra is not used.', toDo: NOTHING },
  'header-cut-short': {
    means: 'The speed is a guess, and most of the file is probably missing.',
    toDo: 'Copy the file again; else find the right speed with --tempo.',
  },
  'format-unknown': {
    means: 'Formats are 0, 1 and 2; the tracks are played together.',
    toDo: 'If it sounds as if everything begins at once, split it where it was written.',
  },
  'format-0-tracks': {
    means: 'The header is wrong about the format; all tracks play together.',
    toDo: SAVE_ANEW,
  },
  'track-count': {
    means: 'Tracks are missing, or the header was not corrected when some were added.',
    toDo: 'If parts are missing, copy the file again.',
  },
  'division-zero': {
    means: 'The speed is a guess.',
    toDo: 'Find the right speed with --tempo, or mend the header.',
  },
  'division-rate': {
    means: 'The speed is a guess.',
    toDo: 'Find the right speed with --tempo, or mend the header.',
  },
  'division-ticks': {
    means: 'The speed is a guess.',
    toDo: 'Find the right speed with --tempo, or mend the header.',
  },

  'track-length': { means: 'The track was edited without its length; nothing is lost.', toDo: SAVE_ANEW },
  'track-cut-short': {
    means: 'The end of this track, and every later track, is not in the file.',
    toDo: COPY_AGAIN,
  },
  'end-of-track-missing': { means: 'The track ends with its last event.', toDo: SAVE_ANEW },
  'events-after-end-of-track': {
    means: 'Some programs stop reading there, so the song may sound different in them.',
    toDo: SAVE_ANEW,
  },
  'bytes-after-end-of-track': { means: 'They make no events; often padding.', toDo: NOTHING },
  'tracks-too-many': {
    means: 'Parts are missing from what is played.',
    toDo: 'Split the song, or join its tracks.',
  },
  'events-too-many': {
    means: 'The end of the song is missing from what is played.',
    toDo: 'Split the song.',
  },

  'event-cut-short': { means: 'The track breaks off in the middle of an event.', toDo: COPY_AGAIN },
  'length-over-long': {
    means: 'The number was read; its writer does not keep to the standard.',
    toDo: SAVE_ANEW,
  },
  'delta-absurd': {
    means: 'The file is damaged there; what follows comes too early.',
    toDo: LISTEN_THERE,
  },
  'tick-limit': {
    means: 'What lies beyond is heaped on one moment.',
    toDo: 'Split the song; lengths like this are mostly damage.',
  },
  'status-missing': {
    means: 'Bytes that belong to no event: something before them is damaged.',
    toDo: LISTEN_THERE,
  },
  'running-status-cancelled': {
    means: 'The writer left a byte out where it must not; what it meant was clear (SMF 1.1, section 2.3).',
    toDo: SAVE_ANEW,
  },
  'data-byte-high': { means: 'The event is damaged and is not played.', toDo: LISTEN_THERE },
  'value-high': { means: 'The event plays with the highest value there is.', toDo: LISTEN_THERE },
  'system-message': {
    means: 'Clock and its like belong on the wire, not in a file; --sync sends them when they are wanted.',
    toDo: NOTHING,
  },
  'real-time-inside': { means: 'The message around it is whole without it.', toDo: NOTHING },
  'meta-type-high': {
    means: 'Damage, or a writer of its own kind; nothing of it would sound.',
    toDo: NOTHING,
  },
  'meta-length': {
    means: 'A tempo, meter or key of a wrong length: it may be read otherwise elsewhere.',
    toDo: 'Look at tempo and meter in the report.',
  },
  'meta-cut': { means: 'The file is damaged there.', toDo: LISTEN_THERE },
  'sysex-length': {
    means: 'The length was not what the bytes show. The message is taken as far as it makes sense.',
    toDo: 'If a module does not set up as it should, leave it out (without --allow-sysex most are held back).',
  },
  'sysex-status-bytes': {
    means: 'On the wire such a byte ends the message: the module gets only a part.',
    toDo: 'Mend it where it was written; without --allow-sysex it is held back.',
  },
  'continuation-alone': { means: 'The rest of a SysEx is lost.', toDo: COPY_AGAIN },
};

/** Findings made while tracks are merged, timed and paired. */
export const TIMELINE_GUIDE: Readonly<Record<TimelineFindingCode, Guide>> = {
  'patterns-in-sequence': {
    means:
      'Format 2 holds patterns that do not belong to one moment; one after another is one way to play them.',
    toDo: 'Save the pattern you want as a file of format 0.',
  },
  'song-too-long': { means: 'The last patterns fall together.', toDo: 'Split the song.' },

  'tempo-zero': { means: 'It would stop the music for ever.', toDo: 'Check that the speed is right there.' },
  'tempo-cut-short': { means: 'The speed before it goes on.', toDo: 'Check that the speed is right there.' },
  'tempo-without-effect': {
    means: 'The file is timed in frames, which have a speed of their own (SMF 1.1, section 2.1).',
    toDo: NOTHING,
  },
  'tempo-outside-first-track': {
    means: 'The standard wants the tempo map in the first track; some programs would not obey it.',
    toDo: SAVE_ANEW,
  },
  'meter-absurd': { means: 'Bars are counted on as before; nothing sounds different.', toDo: NOTHING },
  'key-signature-absurd': { means: 'Nothing sounds different.', toDo: NOTHING },
  'too-many-texts': { means: 'Markers or lyrics at the end are not shown.', toDo: NOTHING },

  'note-never-released': {
    means: 'The note hangs in the instrument until it is silenced.',
    toDo: 'While it plays, x silences it; or mend the song where it was written.',
  },
  'note-released-elsewhere': {
    means: 'The note hangs: its note-off goes to another channel.',
    toDo: 'While it plays, x silences it; mend the channel of one of the two.',
  },
  'note-ended-by-all-off': {
    means: 'Not every receiver heeds these messages (MIDI 1.0, p. 20): the note may hang.',
    toDo: 'While it plays, x silences it; or give the note a note-off of its own.',
  },
  'note-struck-twice': {
    means:
      'Allowed; two strikes need two note-offs (MIDI 1.0, p. A-4), and some modules end both with the first.',
    toDo: NOTHING,
  },
  'note-without-length': {
    means: 'Its note-off is at its own moment; drums sound, other sounds may not.',
    toDo: 'Give it a length, if it is meant to be heard.',
  },
  'release-without-note': { means: 'Harmless (MIDI 1.0, p. A-4).', toDo: NOTHING },
  'pedal-left-down': {
    means: 'The end rings on; wirepit lifts pedals when the song is over, other players may not.',
    toDo: 'Nothing for wirepit; add the pedal-up at the end of the song for others.',
  },

  'sysex-interrupted': {
    means: 'On the wire the other message ends the SysEx: the module gets only a part.',
    toDo: 'Write it in one piece, or hold it back (without --allow-sysex most are).',
  },
};

/** Why a song does not fit as it is: `problems` of the report. */
export const PROBLEM_GUIDE: Readonly<Record<Exclude<ProblemCode, InstrumentFindingCode>, Guide>> = {
  'wire-late': {
    means: 'More is due at once than the wire carries (3,125 bytes a second): the last of it is heard late.',
    toDo: 'Use the command line that the verdict ends with; thin, or leave out a channel.',
  },
  voices: {
    means: 'The module has fewer voices than there are keys sounding: it ends older notes.',
    toDo: 'Say what is connected with --instrument, or give its voices with --voices; --mute leaves out channels.',
  },
  ports: {
    means: 'The song was written for two or more sets of sixteen channels; on one wire they share them.',
    toDo: 'Play the tracks of one port with --song-port; a second wirepit plays those of the next on a wire of its own.',
  },
  finding: {
    means: 'A finding of severity “problem”, in its own words.',
    toDo: 'See its row below.',
  },
  'pedal-left-down': TIMELINE_GUIDE['pedal-left-down'],
};
