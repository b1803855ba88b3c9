import { keySignatureName } from '../midi/key-names.ts';
import type { Division, Song } from '../smf/song.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { SongFacts } from './song-check.ts';

/** Length, tempo, meter, keys and the like. */
export function songFactsOf(song: Song, timeline: Timeline): SongFacts {
  const { tempoMap, meterMap, keySignatures } = timeline;
  const tempos = tempoMap.stretches.map(({ microsPerQuarter }) => 60_000_000 / microsPerQuarter);
  return {
    title: timeline.title,
    format: song.format,
    tracks: song.trackStart.length - 1,
    division: divisionName(song.division),
    durationSeconds: timeline.durationMicros / 1_000_000,
    bars: meterMap.barBeatAt(Math.max(0, timeline.endTick - 1)).bar,
    tempo: {
      slowest: round(tempos.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY)),
      fastest: round(tempos.reduce((a, b) => Math.max(a, b), 0)),
      changes: tempos.length - 1,
    },
    meters: distinct(meterMap.changes.map(({ numerator, denominator }) => `${numerator}/${denominator}`)),
    keys: distinct(keySignatures.map(({ sharps, minor }) => keySignatureName(sharps, minor))),
    markers: timeline.markers.length,
    lyrics: timeline.lyrics.length,
    events: timeline.columns.count,
    ports: portsWithNotes(timeline),
  };
}

function divisionName(division: Division): string {
  if (division.kind === 'quarter') return `${division.ticksPerQuarter} ticks a quarter`;
  const rate = division.framesPerSecond === 29 ? '29.97' : division.framesPerSecond;
  return `${rate} frames a second, ${division.ticksPerFrame} ticks a frame`;
}

function portsWithNotes(timeline: Timeline): number[] {
  const { columns, trackPorts } = timeline;
  const asked = new Set(trackPorts).size;
  const ports = new Set<number>();
  for (let row = 0; row < columns.count && ports.size < asked; row += 1) {
    if (isNoteOn(columns, row)) ports.add(trackPorts[columns.track[row]!] ?? 0);
  }
  return [...ports].sort((a, b) => a - b);
}

const distinct = (names: readonly string[]): string[] => [...new Set(names)];
const round = (bpm: number): number => Math.round(bpm * 100) / 100;
