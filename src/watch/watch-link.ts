import { connect, type Socket } from 'node:net';
import { createObservedState } from '../core/observe/create-observed-state.ts';
import { type Command, encodeCommand } from '../core/schedule/command.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import type { Player, PlayerEnd } from '../engine/run/player.ts';
import { Refusal } from '../trouble/refusal.ts';
import { applyPages } from './changed-pages.ts';
import { Frame, FrameReader, frameOf, type Hello, type SongOn } from './watch-frames.ts';

/** A song of a show that is watched: what the screen takes for a player, and what it is. */
export interface WatchedSong {
  readonly player: Player;
  readonly song: SongOn;
  /** Settles with the first picture of it; never, where none comes. */
  readonly pictured: Promise<void>;
}

/** The observed state is some 90 kB; a song's words and flags some hundred bytes. */
const MOST_FROM_SHOW = 1 << 24;
const READ_BYTES = 1 << 16;

/** The watching end: attached to a show until either leaves. */
export class WatchLink {
  /** The latest word from the show. */
  words = '';
  /** What the show is called. */
  readonly show: string;
  /** Keys change the music. */
  readonly control: boolean;
  readonly #socket: Socket;
  readonly #songs: WatchedSong[] = [];
  #current: WatchedPlayer | undefined;
  #waiting: ((song: WatchedSong | undefined) => void) | undefined;
  #isOver = false;

  constructor(socket: Socket, hello: Hello) {
    this.#socket = socket;
    this.show = hello.show ?? '';
    this.control = hello.control;
  }

  /** @throws Refusal where no show answers, or does not want us */
  static async attach(path: string, version: string, control: boolean): Promise<WatchLink> {
    const buffer = Buffer.alloc(READ_BYTES);
    // Into one buffer, not a new one for every read, thirty times a second all day.
    const socket = connect({
      path,
      onread: { buffer, callback: (length) => read(buffer.subarray(0, length)) },
    });
    const frames = new FrameReader(MOST_FROM_SHOW);
    let link: WatchLink | undefined;
    let read: (chunk: Buffer) => boolean = () => true;
    return new Promise((resolve, reject) => {
      const refuse = (why: string): void => {
        socket.destroy();
        reject(new Refusal(why, path, 'start it with `wirepit show`, or say which set'));
      };
      socket.on('connect', () => {
        const hello: Hello = { schema: 'wirepit-watch/1', version, control };
        socket.write(frameOf(Frame.hello, JSON.stringify(hello)));
      });
      socket.on('error', (error: NodeJS.ErrnoException) => {
        if (link === undefined) refuse(`no show answers here (${error.code ?? error.message})`);
        else link.#over();
      });
      socket.on('close', () => (link === undefined ? refuse('the show hung up') : link.#over()));
      read = (chunk) => {
        for (const { kind, payload } of frames.feed(chunk) ?? []) {
          if (link !== undefined) link.#hear(kind, payload);
          else if (kind === Frame.hello) {
            link = new WatchLink(socket, JSON.parse(payload.toString()) as Hello);
            resolve(link);
          } else refuse(kind === Frame.refused ? payload.toString() : 'this is no show');
        }
        return true;
      };
    });
  }

  /** The song that is on, or the next one; undefined when the show is over or `close` was called. */
  async nextSong(): Promise<WatchedSong | undefined> {
    const song = this.#songs.shift();
    if (song !== undefined || this.#isOver) return song;
    return new Promise((resolve) => {
      this.#waiting = resolve;
    });
  }

  close(): void {
    this.#socket.destroy();
    this.#over();
  }

  #hear(kind: number, payload: Buffer): void {
    if (kind === Frame.song) this.#begin(JSON.parse(payload.toString()) as SongOn);
    else if (kind === Frame.pages) this.#current?.show(payload);
    else if (kind === Frame.words) this.#tell(payload.toString());
    else if (kind === Frame.showOver) this.#over();
  }

  /** A song's picture stands until the next one begins: between songs there is nothing else to see. */
  #begin(song: SongOn): void {
    this.#current?.end({ kind: 'ended' });
    const player = new WatchedPlayer(song.originNanos, (command) => this.#command(command));
    this.#current = player;
    const watched = { player, song, pictured: player.pictured };
    if (this.#waiting === undefined) {
      // Whoever is slow to ask gets the song that is on, and none that has passed.
      this.#songs.splice(0, this.#songs.length, watched);
    } else this.#waiting(watched);
    this.#waiting = undefined;
  }

  #tell(words: string): void {
    this.words = words;
    this.#current?.tell(words);
  }

  #command(command: Command): void {
    if (!this.control || this.#isOver) return;
    const payload = Buffer.alloc(24);
    for (const [n, value] of encodeCommand(command).entries()) payload.writeDoubleLE(value, n * 8);
    this.#socket.write(frameOf(Frame.command, payload));
  }

  #over(): void {
    this.#isOver = true;
    this.#current?.end({ kind: 'ended' });
    this.#waiting?.(undefined);
    this.#waiting = undefined;
  }
}

/** A picture of a player elsewhere, in the shape of one. */
class WatchedPlayer implements Player {
  readonly pictured: Promise<void>;
  #picture: () => void = () => {};
  readonly observed = createObservedState();
  readonly troubles: string[] = [];
  readonly ended: Promise<PlayerEnd>;
  readonly #clock: RunClock;
  readonly #command: (command: Command) => void;
  #settle: (end: PlayerEnd) => void = () => {};

  constructor(originNanos: number, command: (command: Command) => void) {
    this.#clock = new RunClock(originNanos);
    this.#command = command;
    this.ended = new Promise((resolve) => {
      this.#settle = resolve;
    });
    this.pictured = new Promise((resolve) => {
      this.#picture = resolve;
    });
  }

  nowMicros(): number {
    return this.#clock.nowMicros();
  }

  /** Leaving is not ending: of a show that is watched only the watching is quit. */
  send(command: Command): void {
    if (command.kind === 'quit') this.end({ kind: 'quit' });
    else this.#command(command);
  }

  async close(): Promise<void> {
    this.end({ kind: 'quit' });
  }

  show(pages: Buffer): void {
    applyPages(pages, this.observed.buffer);
    this.#picture();
  }

  tell(words: string): void {
    this.troubles.push(words);
  }

  end(end: PlayerEnd): void {
    this.#settle(end);
  }
}
