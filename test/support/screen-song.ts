import { GENERAL_MIDI } from '../../src/core/instrument/general-midi-instrument.ts';
import { soloOrchestra } from '../../src/core/instrument/orchestra.ts';
import { songNotesOf } from '../../src/core/observe/song-notes.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import type { SongView } from '../../src/screen/state/song-view.ts';
import { type DeltaEvent, meta, songBytes, tempo } from './song-bytes.ts';

export interface ScreenSongOptions {
  readonly lyrics?: boolean;
  readonly markers?: boolean;
  /** The input whose clock is followed. */
  readonly follows?: string;
}

/** Sixteen bars of 4/4 at 120 beats a minute (32 s), 96 ticks a quarter, with everything the screen shows. */
export function screenTimeline({ lyrics = false, markers = true }: ScreenSongOptions = {}): Timeline {
  return buildTimeline(
    readSong(songBytes([conductor(lyrics, markers), piano(), bass(), strings(), drums(), hanging()])),
  );
}

/** The song as the screen gets it; the load curve is a plain ramp up to a full wire, to which each channel gives a 16th. */
export function screenSong(options: ScreenSongOptions = {}): SongView {
  const timeline = screenTimeline(options);
  const shares = Float32Array.from(
    { length: Math.ceil(timeline.durationMicros / 100_000) },
    (_, at) => (at % 80) / 80,
  );
  return {
    title: 'Harbour Lights',
    fileName: 'harbour.mid',
    portName: 'mock',
    timeline,
    notes: songNotesOf(timeline.columns),
    durationMicros: timeline.durationMicros,
    load: (audibleChannels) => {
      const heard = audibleChannels.toString(2).replaceAll('0', '').length;
      return { shares: shares.map((share) => (share * heard) / 16), windowMicros: 100_000 };
    },
    plannedWorst: undefined,
    findingsCount: 1,
    orchestra: soloOrchestra(GENERAL_MIDI),
    ...(options.follows === undefined ? {} : { follows: options.follows }),
  };
}

const BAR = 384;
const BARS = 16;

function text(words: string): number[] {
  return Array.from(words, (letter) => letter.charCodeAt(0));
}

function conductor(lyrics: boolean, markers: boolean): DeltaEvent[] {
  const events: [number, number[]][] = [
    [0, meta(0x03, text('Harbour Lights'))],
    [0, tempo(500_000)],
    [0, meta(0x58, [4, 2, 24, 8])],
  ];
  if (markers) {
    for (const [bar, name] of [
      [1, 'Tide'],
      [5, 'Quay'],
      [9, 'Lamps'],
      [13, 'Home'],
    ] as const) {
      events.push([(bar - 1) * BAR, meta(0x06, text(name))]);
    }
  }
  if (lyrics) {
    for (const [beat, syllable] of [
      'Lights ',
      'on ',
      'the ',
      'wa',
      'ter\r',
      'slow',
      'ly ',
      'turn',
    ].entries()) {
      events.push([BAR + beat * 96, meta(0x05, text(syllable))]);
    }
  }
  events.push([BARS * BAR, meta(0x01, text('end'))]);
  return deltas(events);
}

function piano(): DeltaEvent[] {
  const events: [number, number[]][] = [
    [0, [0xc0, 0]],
    [0, [0xb0, 7, 100]],
    [0, [0xb0, 10, 44]],
  ];
  for (let bar = 0; bar < BARS; bar += 1) {
    events.push([bar * BAR, [0xb0, 64, 127]], [bar * BAR + 370, [0xb0, 64, 0]]);
    for (const [at, key] of [60, 64, 67, 72].entries()) {
      const tick = bar * BAR + at * 96;
      events.push([tick, [0x90, key, 40 + at * 25]], [tick + 90, [0x80, key, 64]]);
    }
  }
  return deltas(events);
}

function bass(): DeltaEvent[] {
  const events: [number, number[]][] = [
    [0, [0xc1, 33]],
    [0, [0xb1, 7, 90]],
  ];
  for (let bar = 0; bar < BARS; bar += 1) {
    events.push([bar * BAR, [0x91, 36 + (bar % 5), 110]], [bar * BAR + 190, [0x81, 36 + (bar % 5), 64]]);
  }
  return deltas(events);
}

function strings(): DeltaEvent[] {
  const events: [number, number[]][] = [
    [0, [0xc4, 48]],
    [0, [0xb4, 7, 80]],
    [0, [0xb4, 11, 100]],
    [96, [0xe4, 0, 80]],
  ];
  for (let bar = 0; bar < BARS; bar += 2) {
    for (const key of [55, 59, 62])
      events.push([bar * BAR, [0x94, key, 70]], [bar * BAR + 760, [0x84, key, 64]]);
  }
  events.push([4 * BAR, [0xc4, 52]]);
  return deltas(events);
}

function drums(): DeltaEvent[] {
  const events: [number, number[]][] = [];
  for (let beat = 0; beat < BARS * 4; beat += 1) {
    for (const [key, velocity] of [
      [beat % 2 === 0 ? 36 : 38, 120],
      [42, 60],
    ] as const) {
      events.push([beat * 96, [0x99, key, velocity]], [beat * 96 + 24, [0x89, key, 64]]);
    }
  }
  return deltas(events);
}

/** Channel 12: a note that nothing releases, and one that is released on channel 13. */
function hanging(): DeltaEvent[] {
  return deltas([
    [0, [0xcb, 73]],
    [BAR, [0x9b, 76, 90]],
    [BAR + 96, [0x9b, 79, 50]],
    [BAR + 192, [0x8c, 79, 64]],
  ]);
}

/** Absolute ticks to deltas, in order of time. */
function deltas(events: readonly [number, number[]][]): DeltaEvent[] {
  const sorted = events.toSorted((a, b) => a[0] - b[0]);
  return sorted.map(([tick, bytes], at) => [tick - (sorted[at - 1]?.[0] ?? 0), bytes]);
}
