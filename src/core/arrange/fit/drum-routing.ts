import { isNoteOn } from '../../timeline/note-row.ts';
import { NO_PARTNER, type TimelineColumns } from '../../timeline/timeline.ts';
import { ChannelSettingsSeen } from './channel-settings-seen.ts';
import type { HeardNotes } from './heard-notes.ts';
import { KeyClashes } from './key-clashes.ts';
import type { ChannelMoves } from './moves.ts';
import type { RowEdits } from './row-edits.ts';

/** Where the drums of a song are played: by channel, and which of several on one channel sets it up. */
export interface DrumPlaces {
  /** Drum channel of the song → of the instrument. */
  readonly to: ReadonlyMap<number, number>;
  /** Channel of the instrument → drum channel of the song whose kit, volume and the like it has. */
  readonly leaders: ReadonlyMap<number, number>;
}

/**
 * Each where the instrument hears it if it may stay, else on a drum channel that is free, else together with others
 * on the first there is.
 */
export function drumPlaces(notes: HeardNotes, song: readonly number[], own: readonly number[]): DrumPlaces {
  const to = new Map<number, number>();
  const leaders = new Map<number, number>();
  const isPlayed = (channel: number) => notes.channel.includes(channel);
  const stay = song.filter((channel) => own.includes(channel));
  const go = song.filter((channel) => !own.includes(channel));
  // Those without a note take nobody's place.
  for (const channel of [...stay, ...go].sort((a, b) => Number(isPlayed(b)) - Number(isPlayed(a)))) {
    const place = own.includes(channel)
      ? channel
      : (own.find((one) => !leaders.has(one)) ?? own[0] ?? channel);
    to.set(channel, place);
    if (!leaders.has(place)) leaders.set(place, channel);
  }
  return { to, leaders };
}

/** Sends the rows of a song's drums to where the instrument hears drums. */
export class DrumRouting {
  /** Note-on rows that give way to a stroke on the same key, and that are struck with another kit. */
  readonly keyTaken: readonly number[];
  readonly otherKit: number[] = [];
  readonly #columns: TimelineColumns;
  readonly #edits: RowEdits;
  readonly #places: DrumPlaces;
  readonly #hasKits: boolean;
  readonly #moves: ChannelMoves;
  readonly #settings = Array.from({ length: 16 }, () => new ChannelSettingsSeen(2));
  readonly #kit = new Uint8Array(16);
  readonly #isTaken: ReadonlySet<number>;

  constructor(
    columns: TimelineColumns,
    edits: RowEdits,
    places: DrumPlaces,
    hasKits: boolean,
    moves: ChannelMoves,
  ) {
    this.#columns = columns;
    this.#edits = edits;
    this.#places = places;
    this.#hasKits = hasKits;
    this.#moves = moves;
    this.keyTaken = this.#clashes();
    this.#isTaken = new Set(this.keyTaken);
  }

  /** True where the channel has drums in the song: its rows are dealt with here. */
  takes(channel: number): boolean {
    return this.#places.to.has(channel);
  }

  row(row: number, isStrike: boolean): void {
    const { status, data1, data2, partner } = this.#columns;
    const from = status[row]! & 15;
    const kind = status[row]! & 0xf0;
    const to = this.#places.to.get(from)!;
    const leader = this.#places.leaders.get(to)!;
    if (kind === 0xc0) this.#kit[from] = data1[row]!;
    else this.#settings[from]!.take(kind, data1[row]!, data2[row]!);
    const isGuest = leader !== from;
    const isNote = kind === 0x80 || kind === 0x90;
    if (isGuest && (!isNote || this.#isTaken.has(isStrike ? row : partner[row]!))) {
      this.#edits.drop(row);
    } else if (from !== to) {
      const data = isStrike && isGuest ? this.#velocity(row, from, leader) : data2[row]!;
      this.#edits.put(row, kind | to, data1[row]!, data);
      if (isStrike) this.#moves.gather(from, to, 'drums');
      if (isStrike && isGuest && this.#hasKits && this.#kit[from] !== this.#kit[leader])
        this.otherKit.push(row);
    }
  }

  /** It sounds with the other's volume and expression: the strike makes up for it. */
  #velocity(row: number, from: number, leader: number): number {
    const ratio = this.#settings[from]!.loudness / this.#settings[leader]!.loudness;
    return Math.max(1, Math.min(127, Math.round(this.#columns.data2[row]! * ratio)));
  }

  #clashes(): readonly number[] {
    const { count, status, data1, partner } = this.#columns;
    const { to, leaders } = this.#places;
    if (leaders.size === to.size) return [];
    const clashes = new KeyClashes(this.#columns);
    for (let row = 0; row < count; row += 1) {
      const place = to.get(status[row]! & 15);
      if (place === undefined || !isNoteOn(this.#columns, row) || partner[row] === NO_PARTNER) continue;
      clashes.add(row, place, data1[row]!, leaders.get(place) !== (status[row]! & 15));
    }
    return clashes.losers();
  }
}
