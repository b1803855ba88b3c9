import { basename } from 'node:path';
import { NO_LOAD, type SongView } from '../../screen/state/song-view.ts';
import type { PlayIntent } from './intend-play.ts';

/** What the screen is told of a song before there is a plan. */
export function plainSongView({ loaded, outputs, orchestra, settings, flags }: PlayIntent): SongView {
  const { path, song, timeline } = loaded;
  return {
    title: timeline.title,
    fileName: basename(path),
    portName: outputs.map((output) => output.port).join(' or '),
    ...(outputs.length > 1 ? { ports: outputs.map(({ name = '', port }) => ({ name, port })) } : {}),
    timeline,
    notes: undefined,
    durationMicros: settings.durationMicros,
    load: () => NO_LOAD,
    plannedWorst: undefined,
    ...(settings.playAlong === undefined ? {} : { playAlong: settings.playAlong }),
    orchestra,
    ...(loaded.emptied === undefined ? {} : { emptied: loaded.emptied }),
    ...(loaded.wishes === undefined ? {} : { wishes: loaded.wishes }),
    knowsInstrument: outputs.some(({ instrument }) => instrument !== undefined),
    ...(flags.follow === undefined ? {} : { follows: flags.follow }),
    findingsCount: song.findings.length + timeline.findings.length,
  };
}
