import type { PtyRun } from '../../support/pty-run.ts';
import type { WirePipe } from '../../support/wire-pipe.ts';
import { sleep } from './watch.ts';

/** Milliseconds from a key press to the first sign of its effect. */
export type Answers = number[];

/** "Silence everything" while the song is paused, when nothing else is on the wire. */
export async function wireAnswers(run: PtyRun, wire: WirePipe, presses: number): Promise<Answers> {
  const answers: Answers = [];
  for (let press = 0; press < presses; press++) {
    await sleep(40 + (press % 7) * 13);
    const answered = wire.next();
    const pressed = performance.now();
    run.send('z');
    await answered;
    answers.push(wire.lastByteMillis - pressed);
    while (performance.now() - wire.lastByteMillis < 60) await sleep(20);
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
