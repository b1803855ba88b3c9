import type { Timeline } from '../timeline/timeline.ts';
import { type CompareOptions, compareMusic } from './compare-music.ts';
import { type ComparisonDocument, comparisonDocument } from './comparison-document.ts';
import type { HeardMusic } from './heard-music.ts';
import { passesOf } from './passes.ts';
import { SettledParts } from './settled-parts.ts';
import { songPlaces } from './song-places.ts';
import { standstillCounts } from './standstills.ts';
import { writtenMusic } from './written-music.ts';

/** What the document names: the song, the input, and faults of the stream by kind. */
export interface ComparedNames {
  readonly song: string;
  readonly heard: string;
  readonly faults: readonly string[];
}

/** A whole recording judged: each time that the song was played by itself, and all of them together. */
export function compareRecording(
  timeline: Timeline,
  heard: HeardMusic,
  { song: songName, heard: name, faults }: ComparedNames,
  options: CompareOptions,
): ComparisonDocument {
  const written = writtenMusic(timeline);
  const song = { written, places: songPlaces(timeline, written) };
  const passes = passesOf(timeline, song, heard);
  const judged = passes.map((pass) =>
    comparisonDocument(songName, name, timeline, compareMusic(timeline, pass, options, song), faults),
  );
  const before = new SettledParts();
  for (const document of judged.slice(0, -1)) before.add(document, document.causes);
  const whole = before.with(judged.at(-1)!);
  // Heard whole once is heard whole. A standstill of the listener is one, however many passes it is counted with.
  const isWhole = whole.verdict === 'part' && judged.some(({ verdict }) => verdict === 'same');
  return {
    ...whole,
    ...(judged.length > 1 ? { times: judged.length } : {}),
    verdict: isWhole ? 'same' : whole.verdict,
    standstills: standstillCounts(heard.standstills, whole.standstills.notes),
  };
}
