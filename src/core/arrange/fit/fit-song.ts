import type { Instrument } from '../../instrument/instrument.ts';
import { ALL_CHANNELS } from '../../instrument/orchestra.ts';
import { resetsFollowed } from '../../instrument/reset-heard.ts';
import { songDrumChannels, withSongDrums } from '../../instrument/song-drums.ts';
import type { WritableSong } from '../../smf/file-event.ts';
import { Meta } from '../../smf/meta-kinds.ts';
import type { Song } from '../../smf/song.ts';
import type { Timeline } from '../../timeline/timeline.ts';
import { type FitMarks, GENERAL_MARKS, MOST_MARK_BYTES, marksOf, marksTogether } from './fit-marks.ts';
import { type FitSeat, fitSeat, type SeatFit } from './fit-seat.ts';
import { fittedSong } from './fitted-song.ts';
import { seatsTogether } from './seats-together.ts';

/** Enough that songs at hand lose no beat and no note of the melody at 16 voices (npm run bench -- fit). */
export const DEFAULT_KEEP = 2;

/** A song made to fit what plays it. */
export interface OrchestraFit {
  /** Undefined where nothing had to be changed: the song is as good as it can be. */
  readonly song: WritableSong | undefined;
  /** What became of what goes to each instrument, in the order they were given. */
  readonly seats: readonly SeatFit[];
  /** System resets that are sent no more: no instrument follows them. */
  readonly resetsLeftOut: number;
}

/** A song made to fit one instrument that is behind all channels. */
export type SongFit = OrchestraFit & SeatFit;

/**
 * Song → song: the channels of each instrument made to fit it, as if it were alone; no channel leaves its port. System
 * messages go to all instruments, and stay where one of them follows them. Channels that go nowhere stay as they are.
 * Pure; the song is not changed.
 * @param seats at least one, no channel in two of them
 * @param keep by how much melody and beat count for more when voices are short
 */
export function fitOrchestra(
  song: Song,
  timeline: Timeline,
  seats: readonly FitSeat[],
  keep: number,
): OrchestraFit {
  const { columns } = timeline;
  const drumChannels = songDrumChannels(columns);
  const end = {
    tick: timeline.endTick,
    micros: timeline.durationMicros,
    microsAt: timeline.tempoMap.microsAt,
  };
  const marks = marksIn(song) ?? { ...GENERAL_MARKS, drumChannels };
  const keptResets = resetsFollowed(seats.map(({ instrument }) => instrument));
  const fits = seats.map((seat) =>
    fitSeat({ ...seat, instrument: withSongDrums(seat.instrument, drumChannels) }, columns, end, marks, {
      keep,
      keptResets,
    }),
  );
  const fittedColumns = seatsTogether(columns, fits);
  const fittedMarks = marksTogether(
    marks,
    fits.map(({ seat, fitted }) => ({ channels: seat.channels, marks: fitted.marks })),
  );
  return {
    song: fittedColumns === columns ? undefined : fittedSong(song, timeline, fittedColumns, fittedMarks),
    seats: fits,
    resetsLeftOut: countSysEx(columns.status) - countSysEx(fittedColumns.status),
  };
}

/** The same for one instrument that is behind all channels. */
export function fitSong(song: Song, timeline: Timeline, instrument: Instrument, keep: number): SongFit {
  const fit = fitOrchestra(song, timeline, [{ port: undefined, instrument, channels: ALL_CHANNELS }], keep);
  return { ...fit, ...fit.seats[0]! };
}

function countSysEx(status: Uint8Array): number {
  return status.reduce((count, one) => count + (one === 0xf0 ? 1 : 0), 0);
}

/** What an earlier fit wrote into the song; undefined where none did. */
function marksIn({ events, payloads, bytes }: Song): FitMarks | undefined {
  for (let row = events.status.indexOf(0xff); row >= 0; row = events.status.indexOf(0xff, row + 1)) {
    if (events.data1[row] !== Meta.text) continue;
    const payload = events.payload[row]!;
    const start = payloads.start[payload]!;
    const text = String.fromCharCode(
      ...bytes.subarray(start, start + Math.min(MOST_MARK_BYTES, payloads.length[payload]!)),
    );
    const marks = marksOf(text);
    if (marks !== undefined) return marks;
  }
  return undefined;
}
