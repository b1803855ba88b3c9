/**
 * What passes between a show and those who watch it: frames of `u32 length · u8 kind · length − 1 bytes`, little end
 * first, over a local socket. Both ends are one program of one version, so there is nothing else to agree on.
 */
export const Frame = {
  /** JSON: `Hello` from whoever attaches, then from the show. */
  hello: 1,
  /** JSON: `SongOn`. */
  song: 2,
  /** Pages of the observed state (`changed-pages.ts`). */
  pages: 3,
  /** Text: something a person ought to know. */
  words: 4,
  /** Nothing: the song is over. */
  songOver: 5,
  /** Nothing: the show is over. */
  showOver: 6,
  /** Text: why the show does not let this one watch. */
  refused: 7,
  /** Three doubles: a command (`encodeCommand`), from one who may. */
  command: 8,
} as const;

export interface Hello {
  readonly schema: 'wirepit-watch/1';
  readonly version: string;
  /** Asked for, and granted: keys change the music. */
  readonly control: boolean;
  /** What the show is called; from the show only. */
  readonly show?: string;
}

/** A song that is on. */
export interface SongOn {
  /** Absolute path of the song file. */
  readonly path: string;
  /** The flags that would play it alone (`PlayFlags`). */
  readonly flags: object;
  /** `process.hrtime` at run time 0: the same clock for all processes of a machine. */
  readonly originNanos: number;
  /** Where it stands in the set, in words. */
  readonly words: string;
}

/** The longest frame a show takes from one who watches; what it sends has no such bound. */
export const MOST_FROM_WATCHER = 4096;
const HEAD = 5;

export function frameOf(kind: number, payload: Uint8Array | string = ''): Buffer {
  const bytes = Buffer.from(payload as string);
  const frame = Buffer.alloc(HEAD + bytes.length);
  frame.writeUInt32LE(1 + bytes.length, 0);
  frame[4] = kind;
  frame.set(bytes, HEAD);
  return frame;
}

/** A frame as it came; its payload is a view that holds until more is read. */
export interface WatchFrame {
  readonly kind: number;
  readonly payload: Buffer;
}

/** Cuts a stream of bytes into frames, however it comes in pieces. Only what is not whole yet is copied. */
export class FrameReader {
  #rest: Buffer = NOTHING;
  readonly #most: number;

  /** @param most longest frame taken, in bytes */
  constructor(most: number) {
    this.#most = most;
  }

  /** @returns the frames that are whole now; undefined when one is empty or too long: nothing more can be read then */
  feed(chunk: Buffer): WatchFrame[] | undefined {
    const bytes = this.#rest.length === 0 ? chunk : Buffer.concat([this.#rest, chunk]);
    const frames: WatchFrame[] = [];
    let at = 0;
    while (bytes.length - at >= HEAD) {
      const length = bytes.readUInt32LE(at);
      if (length === 0 || length > this.#most) return undefined;
      if (bytes.length - at < 4 + length) break;
      frames.push({ kind: bytes[at + 4]!, payload: bytes.subarray(at + HEAD, at + 4 + length) });
      at += 4 + length;
    }
    this.#rest = at === bytes.length ? NOTHING : Buffer.from(bytes.subarray(at));
    return frames;
  }
}

const NOTHING = Buffer.alloc(0);
