import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { soloOrchestra } from '../../core/instrument/orchestra.ts';
import { NO_LOAD, type SongView } from '../state/song-view.ts';

/** What stands for the song while there is none: an input is being listened to. */
export function listeningView(inputName: string, isOnlyHeard = false, instrument?: Instrument): SongView {
  return {
    title: `listening to ${inputName}`,
    fileName: '',
    portName: inputName,
    timeline: undefined,
    notes: undefined,
    durationMicros: 0,
    load: () => NO_LOAD,
    plannedWorst: undefined,
    findingsCount: 0,
    isOnlyHeard,
    orchestra: soloOrchestra(instrument ?? GENERAL_MIDI),
    knowsInstrument: instrument !== undefined,
  };
}
