import { chmodSync, rmSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { type Command, commandFrom } from '../core/schedule/command.ts';
import type { Player } from '../engine/run/player.ts';
import { ChangedPages } from './changed-pages.ts';
import { answersAt } from './knock.ts';
import { LONGEST_SOCKET_PATH, makeSocketFolder } from './socket-folder.ts';
import { Frame, FrameReader, frameOf, type Hello, MOST_FROM_WATCHER, type SongOn } from './watch-frames.ts';

/** As often as a screen draws (twelve times a second): more would be looked at by nobody. */
const PICTURE_MS = 80;

interface Watcher {
  readonly socket: Socket;
  mayCommand: boolean;
  /** What it was sent of the player that is on; undefined before its hello and between songs. */
  pages: ChangedPages | undefined;
}

/** What a host needs to know of the show. */
export interface HostOptions {
  readonly socketPath: string;
  readonly show: string;
  readonly version: string;
}

/**
 * Lets others on this machine look at a running show, through a local socket that only its user may open. Each is sent
 * what changed when it has taken what came before, so a slow line never holds up another, nor the music: the sending
 * thread knows nothing of it.
 */
export class WatchHost {
  readonly #options: HostOptions;
  readonly #server: Server;
  readonly #watchers = new Set<Watcher>();
  #timer: NodeJS.Timeout | undefined;
  #player: Player | undefined;
  #song: Omit<SongOn, 'originNanos'> | undefined;
  #told = 0;
  /** The latest word while no song is on: for whoever attaches then. */
  #words = '';

  constructor(options: HostOptions, server: Server) {
    this.#options = options;
    this.#server = server;
    server.on('connection', (socket) => this.#welcome(socket));
    // A socket that fails later can only keep others from attaching; the show goes on.
    server.on('error', () => {});
    server.unref();
  }

  /** @throws Error with a sentence that says why nobody can watch; the show goes on without */
  static async open(options: HostOptions): Promise<WatchHost> {
    const path = options.socketPath;
    if (Buffer.byteLength(path) > LONGEST_SOCKET_PATH) throw new Error(`${path} is too long for a socket`);
    makeSocketFolder();
    if (await answersAt(path)) throw new Error('this set is playing already, and is watched there');
    rmSync(path, { force: true }); // one that a killed show has left
    const server = createServer();
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject);
      server.listen(path, () => {
        server.off('error', reject);
        resolve();
      });
    });
    chmodSync(path, 0o600);
    return new WatchHost(options, server);
  }

  get watching(): number {
    return [...this.#watchers].filter(({ pages }) => pages !== undefined).length;
  }

  /** A song begins. */
  begin(player: Player, song: Omit<SongOn, 'originNanos'>): void {
    this.#player = player;
    this.#song = song;
    this.#told = 0;
    for (const watcher of this.#watchers) if (watcher.pages !== undefined) this.#showSong(watcher);
  }

  /** The song that is on is over. */
  songOver(): void {
    this.#send();
    this.#player = undefined;
    this.#song = undefined;
    for (const { socket } of this.#watchers) socket.write(frameOf(Frame.songOver));
  }

  /** Something a person ought to know, in a line. */
  tell(words: string): void {
    this.#words = words;
    for (const { socket } of this.#watchers) socket.write(frameOf(Frame.words, words));
  }

  close(): void {
    clearInterval(this.#timer);
    for (const { socket } of this.#watchers) socket.end(frameOf(Frame.showOver));
    this.#server.close();
    rmSync(this.#options.socketPath, { force: true });
  }

  #welcome(socket: Socket): void {
    const watcher: Watcher = { socket, mayCommand: false, pages: undefined };
    const frames = new FrameReader(MOST_FROM_WATCHER);
    this.#watchers.add(watcher);
    const leave = (): void => {
      this.#watchers.delete(watcher);
      if (this.#watchers.size === 0) clearInterval(this.#timer);
    };
    socket.unref();
    socket.on('error', leave);
    socket.on('close', leave);
    socket.on('data', (chunk) => {
      const whole = frames.feed(chunk);
      if (whole === undefined) return void socket.destroy();
      for (const { kind, payload } of whole) this.#hear(watcher, kind, payload);
    });
  }

  #hear(watcher: Watcher, kind: number, payload: Buffer): void {
    if (kind === Frame.hello && watcher.pages === undefined) this.#greet(watcher, payload);
    if (kind === Frame.command && watcher.mayCommand) {
      const command = payload.length === 24 ? commandOf(payload) : undefined;
      // Whoever watches may leave, and does not end the show by it.
      if (command !== undefined && command.kind !== 'quit') this.#player?.send(command);
    }
  }

  #greet(watcher: Watcher, payload: Buffer): void {
    const hello = helloOf(payload);
    const { version, show } = this.#options;
    if (hello?.version !== version) {
      const words = `the show runs wirepit ${version}, and this is ${hello?.version ?? 'no wirepit'}`;
      watcher.socket.end(frameOf(Frame.refused, words));
      return;
    }
    watcher.mayCommand = hello.control;
    const answer: Hello = { schema: 'wirepit-watch/1', version, control: hello.control, show };
    watcher.socket.write(frameOf(Frame.hello, JSON.stringify(answer)));
    watcher.pages = new ChangedPages(new SharedArrayBuffer(0));
    if (this.#player === undefined && this.#words !== '')
      watcher.socket.write(frameOf(Frame.words, this.#words));
    this.#showSong(watcher);
    clearInterval(this.#timer);
    this.#timer = setInterval(() => this.#send(), PICTURE_MS).unref();
  }

  #showSong(watcher: Watcher): void {
    if (this.#player === undefined || this.#song === undefined) return;
    const song: SongOn = { ...this.#song, originNanos: originOf(this.#player) };
    watcher.pages = new ChangedPages(this.#player.observed.buffer);
    watcher.socket.write(frameOf(Frame.song, JSON.stringify(song)));
    this.#sendPages(watcher);
  }

  /** A picture to everybody who has taken the last one. */
  #send(): void {
    const troubles = this.#player?.troubles ?? [];
    for (; this.#told < troubles.length; this.#told += 1) this.tell(troubles[this.#told]!);
    if (this.#player === undefined) return;
    for (const watcher of this.#watchers) if (watcher.socket.writableLength === 0) this.#sendPages(watcher);
  }

  #sendPages({ socket, pages }: Watcher): void {
    const changed = pages?.take();
    if (changed !== undefined) socket.write(frameOf(Frame.pages, changed));
  }
}

/** `process.hrtime` at the player's run time 0: one clock for all processes of a machine. */
function originOf(player: Player): number {
  player.nowMicros(); // a first call may take long
  return Number(process.hrtime.bigint()) - player.nowMicros() * 1000;
}

function helloOf(payload: Buffer): Hello | undefined {
  try {
    const hello = JSON.parse(payload.toString()) as Partial<Hello>;
    if (hello.schema !== 'wirepit-watch/1' || typeof hello.version !== 'string') return undefined;
    return { schema: hello.schema, version: hello.version, control: hello.control === true };
  } catch {
    return undefined;
  }
}

function commandOf(payload: Buffer): Command | undefined {
  return commandFrom([payload.readDoubleLE(0), payload.readDoubleLE(8), payload.readDoubleLE(16)]);
}
