import { existsSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import type { ShowSection, ShowSet, ShowSong } from '../core/show/show-set.ts';
import { readToml, type TomlFile } from '../files/toml/read-toml.ts';
import { keptPathOf } from './kept-settings.ts';
import { KEPT_SCHEMA, SET_SCHEMA, type SetDocument, type SongSettings } from './set-schema.ts';

/** A set as it stands in its file, with what was kept from the screen laid over it. */
export interface ReadSet {
  /** Absolute. */
  readonly path: string;
  readonly set: ShowSet;
  /** As `--port` takes them; empty: the usual one. */
  readonly ports: readonly string[];
  readonly map: string | undefined;
  /** Each song's file as the set names it, by which its kept settings are found. */
  readonly files: readonly string[];
}

/**
 * Reads a set. Whether its songs are there, and can be played, is found when their turn comes (or by `check`).
 * @throws {Refusal} with file, line and path
 */
export function readSet(file: string): ReadSet {
  const path = resolve(file);
  const toml = readToml(file, SET_SCHEMA);
  const { value } = toml;
  const sections = (value.section ?? []).map(sectionOf);
  const kept = keptSettings(path);
  const songs = value.song.map((_, at) => songOf(toml, at, dirname(path), sections, kept));
  const set: ShowSet = {
    name: value.set?.name ?? basename(path).replace(/\.toml$/i, ''),
    songs,
    sections,
    loops: value.set?.loop ?? false,
    shuffleSeed: value.set?.shuffle,
  };
  const files = value.song.map(({ file: song }) => song);
  return { path, set, ports: value.set?.ports ?? [], map: value.set?.map, files };
}

function keptSettings(path: string): ReadonlyMap<string, SongSettings> {
  const file = keptPathOf(path);
  if (!existsSync(file)) return new Map();
  const { value } = readToml(file, KEPT_SCHEMA);
  return new Map((value.song ?? []).map(({ file: song, ...settings }) => [song, settings]));
}

function songOf(
  { value, refusal }: TomlFile<SetDocument>,
  at: number,
  folder: string,
  sections: readonly ShowSection[],
  kept: ReadonlyMap<string, SongSettings>,
): ShowSong {
  const shared = value.set ?? {};
  const written = value.song[at]!;
  const song = { ...written, ...kept.get(written.file) };
  const section =
    song.section === undefined ? undefined : sections.findIndex(({ name }) => name === song.section);
  if (section === -1) {
    const names = sections.map(({ name }) => `"${name}"`).join(', ');
    const nextStep = names === '' ? 'add a [[section]] of that name' : `use one of ${names}`;
    throw refusal(['song', at, 'section'], `there is no section "${song.section}"`, nextStep);
  }
  return {
    path: resolve(folder, song.file),
    from: song.from,
    to: song.to,
    ...settingsOf(song),
    volumePercent: song.volume ?? shared.volume ?? 100,
    instrument: song.instrument ?? shared.instrument,
    fits: song.fit ?? shared.fit ?? false,
    repeats: song.repeat ?? 1,
    before: {
      seconds: song['gap-seconds'] ?? shared['gap-seconds'] ?? 2,
      waitsForKey: song['wait-for-key'] ?? shared['wait-for-key'] ?? false,
    },
    section,
  };
}

/** What can be changed on the screen and kept, as a song has it; volume apart, which a set has a word on too. */
export function settingsOf(
  song: SongSettings,
): Pick<ShowSong, 'tempoPercent' | 'transposeSemitones' | 'mute' | 'solo' | 'programs'> {
  return {
    tempoPercent: song.tempo ?? 100,
    transposeSemitones: song.transpose ?? 0,
    mute: (song.mute ?? []).map((channel) => channel - 1),
    solo: (song.solo ?? []).map((channel) => channel - 1),
    programs: new Map(
      Object.entries(song.programs ?? {}).map(([channel, program]) => [Number(channel) - 1, program - 1]),
    ),
  };
}

function sectionOf({ name, from, to }: NonNullable<SetDocument['section']>[number]): ShowSection {
  return { name, fromMinute: minuteOf(from), toMinute: minuteOf(to) };
}

/** "09:30" → 570. */
function minuteOf(text: string): number {
  const [hours, minutes] = text.split(':');
  return Number(hours) * 60 + Number(minutes);
}
