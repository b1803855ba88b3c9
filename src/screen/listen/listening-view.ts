import type { SongView } from '../state/song-view.ts';

/** What stands for the song while there is none: an input is being listened to. */
export function listeningView(inputName: string, isOnlyHeard = false): SongView {
  return {
    title: `listening to ${inputName}`,
    fileName: '',
    portName: inputName,
    timeline: undefined,
    notes: undefined,
    durationMicros: 0,
    load: new Float32Array(0),
    loadWindowMicros: 100_000,
    plannedWorst: undefined,
    findingsCount: 0,
    isOnlyHeard,
  };
}
