/** One contender in a process of its own: `node load-child.mjs <contender> <file>`; figures as JSON on stdout. */
import { readFileSync } from 'node:fs';
import tone from '@tonejs/midi';
import { parseMidi } from 'midi-file';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';

/** Each returns how many rows it found, so that nothing can be left undone unseen, and keeps its result. */
const CONTENDERS: Readonly<Record<string, (bytes: Uint8Array) => { rows: number; kept: unknown }>> = {
  'bare node': () => ({ rows: 0, kept: undefined }),
  wirepit: (bytes) => {
    const timeline = buildTimeline(readSong(bytes));
    return { rows: timeline.columns.count, kept: timeline };
  },
  'midi-file': (bytes) => {
    const song = parseMidi(bytes);
    return { rows: song.tracks.reduce((sum, track) => sum + track.length, 0), kept: song };
  },
  '@tonejs/midi': (bytes) => {
    const song = new tone.Midi(bytes);
    return { rows: song.tracks.reduce((sum, track) => sum + track.notes.length, 0), kept: song };
  },
};

const [name = '', file = ''] = process.argv.slice(2);
const bytes = name === 'bare node' ? new Uint8Array() : new Uint8Array(readFileSync(file));
const start = performance.now();
const result = CONTENDERS[name]!(bytes);
const millis = performance.now() - start;
const figures = {
  millis,
  rows: result.rows,
  residentMb: process.memoryUsage.rss() / 1e6,
  peakMb: process.resourceUsage().maxRSS / 1000, // kilobytes → MB, near enough (1,024 : 1,000 on either side)
  kept: result.kept === undefined ? 0 : 1,
};
process.stdout.write(JSON.stringify(figures));
