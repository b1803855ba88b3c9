import { execFileSync } from 'node:child_process';
import { constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import type { PtyRun } from '../../support/pty-run.ts';
import { sleep } from './watch.ts';

/** Milliseconds from a key press to the first sign of its effect. */
export type Answers = number[];

/**
 * A named pipe as the wire: the program writes to it as `raw:<path>`, we note when bytes come. It is opened
 * for reading before the program opens it, as a pipe without a reader refuses.
 */
export class WirePipe {
  private watcher: ((bytes: Buffer) => void) | undefined;
  private readonly socket: Socket;
  lastByte = 0;

  constructor(readonly path: string) {
    execFileSync('sh', ['-c', `rm -f "${path}" && mkfifo "${path}"`]);
    // Read and write, or the pipe would end each time the program closes its side.
    const descriptor = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
    this.socket = new Socket({ fd: descriptor, readable: true, writable: false });
    this.socket.on('data', (bytes) => {
      this.lastByte = performance.now();
      this.watcher?.(bytes);
    });
  }

  /** Settles with the moment at which a byte that `isIt` comes. */
  until(isIt: (byte: number) => boolean, timeoutMillis = 5000): Promise<number> {
    return new Promise((done, fail) => {
      const timeout = setTimeout(() => fail(new Error('no answer came on the wire')), timeoutMillis);
      this.watcher = (bytes) => {
        if (!bytes.some(isIt)) return;
        clearTimeout(timeout);
        this.watcher = undefined;
        done(performance.now());
      };
    });
  }

  close(): void {
    this.socket.destroy();
  }
}

/**
 * "Silence everything" while the song plays: All Sound Off is controller 120, a number that music does not use
 * as a data byte by chance only where the song was looked at; so the music is paused for it.
 */
export async function wireAnswers(run: PtyRun, wire: WirePipe, presses: number): Promise<Answers> {
  const answers: Answers = [];
  for (let press = 0; press < presses; press++) {
    await sleep(40 + (press % 7) * 13);
    const answered = wire.until(() => true);
    const pressed = performance.now();
    run.send('z');
    answers.push((await answered) - pressed);
    while (performance.now() - wire.lastByte < 60) await sleep(20);
  }
  return answers;
}

/** Mutes and unmutes the chosen lane while the song plays, and waits for its mark. */
export async function screenAnswers(run: PtyRun, presses: number): Promise<Answers> {
  const answers: Answers = [];
  for (let press = 0; press < presses; press++) {
    await sleep(150 + (press % 7) * 23);
    const isMuting = !MUTED.test(run.text());
    const pressed = performance.now();
    run.send('m');
    await run.until((text) => MUTED.test(text) === isMuting, `lane 1 ${isMuting ? '' : 'not '}muted`, 20_000);
    answers.push(performance.now() - pressed);
  }
  return answers;
}

/** The first lane's number with the mark of a muted one. */
const MUTED = /^.? ?1M/m;
