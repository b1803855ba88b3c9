import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { type FarEnd, farEnd } from '../support/far-end.ts';
import { hasSocat, PtyPair } from '../support/pty-pair.ts';
import { type PtyRun, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../support/song-bytes.ts';
import { bytesOf } from '../support/stream-log.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WireReader } from '../support/wire-reader.ts';
import { expectGivenBack, SETTINGS_SHELL } from './given-back.ts';

const folder = tempFolder('port-loss');
const SONG = join(folder, 'beats.mid');
writeFileSync(SONG, beats());
const opened: PtyRun[] = [];
afterEach(async () => {
  for (const run of opened.splice(0)) await run.close();
});

/** 60 bars at 120 a minute of two notes at a time; the channel has a program, a volume and a wide bend range. */
function beats(): Uint8Array {
  const events: DeltaEvent[] = [
    [0, [0xc3, 19]],
    [0, [0xb3, 7, 77]],
    [0, [0xb3, 101, 0]],
    [0, [0xb3, 100, 0]],
    [0, [0xb3, 6, 12]],
  ];
  for (let beat = 0; beat < 240; beat += 1)
    events.push([0, [0x93, 60, 80]], [0, [0x93, 67, 80]], [90, [0x83, 60, 64]], [6, [0x83, 67, 64]]);
  return songBytes([events]);
}

/** The built program behind a shell that tells afterwards whether the terminal's settings are as they were. */
function start(...args: string[]): PtyRun {
  const command = ['--norc', '--noprofile', '-c', SETTINGS_SHELL, 'bash', process.execPath, WIREPIT, ...args];
  const run = runInPty('bash', command);
  opened.push(run);
  return run;
}

function leave(run: PtyRun, code = 0): Promise<string> {
  run.send('q');
  return expectGivenBack(run, code);
}

function barOf(text: string): number {
  return Number(/playing +(\d+):/.exec(text)?.[1] ?? Number.NaN);
}

/** Reads as a receiver from a fresh start up to a note: before it, channel 4 must be as the sender has it. */
async function expectRestated(end: FarEnd): Promise<WireReader> {
  let reader = new WireReader();
  for (let count = 0; reader.noteOns.length === 0; ) {
    const bytes = await end.received(count + 1);
    count = bytes.length;
    reader = new WireReader();
    reader.read(bytes);
  }
  expect(reader.faults).toEqual([]);
  const beforeNotes = new WireReader();
  const first = reader.messages.findIndex(([status, , velocity]) => status === 0x93 && velocity !== 0);
  beforeNotes.read(reader.messages.slice(0, first).flat());
  const said = (what: string) => beforeNotes.said.get(`3:${what}`);
  expect(['program', 'cc7', 'rpn 0.msb', 'cc123'].map(said)).toEqual([19, 77, 12, 0]);
  return reader;
}

describe('a port that goes away while the screen is up', () => {
  it.skipIf(!hasSocat)('a UART: said, played on, told again when it is back', async () => {
    const pair = await PtyPair.plugged();
    const run = start(SONG, '--port', `serial:${pair.near}`);
    const first = farEnd(pair.far);
    await run.untilText(/playing +2:/);
    await first.received(40);
    await pair.unplug();
    first.close();
    const lost = await run.untilText(/is gone/);
    expect(lost).toMatch(/music goes on without it/);
    // The song's time runs on.
    await run.until((text) => barOf(text) >= barOf(lost) + 2, 'two bars more');
    await pair.plug();
    const second = farEnd(pair.far);
    await run.until((text) => !text.includes('is gone'), 'an end of the trouble');
    run.send('l');
    // The message line may say the one by itself.
    await run.until((text) => /there again/.test(text) && /is gone/.test(text), 'a log of both');
    run.send('\u001b'); // alone, or what follows would be a key with alt
    await run.until((text) => !text.includes('esc closes'), 'the lanes again');
    await expectRestated(second);
    await leave(run);
    const end = new WireReader();
    end.read(await second.received(1));
    expect({ sounding: end.sounding, faults: end.faults }).toEqual({ sounding: 0, faults: [] });
    second.close();
    await pair.remove();
  });

  it('a FIFO that nobody reads any more, and never comes back: the end is orderly', async () => {
    const fifo = join(folder, 'fifo');
    spawnSync('mkfifo', [fifo]);
    const module = farEnd(fifo);
    const run = start(SONG, '--port', `raw:${fifo}`);
    await run.untilText(/playing +1:/);
    await module.received(20);
    module.close();
    const lost = await run.untilText(/is gone/);
    await run.until((text) => barOf(text) > barOf(lost), 'a bar more');
    run.send('m');
    await run.untilText(/^▸ 1M/m); // keys work
    expect(await leave(run, 1)).toMatch(/^wirepit: port raw:.*gone/);
  });

  it.skipIf(!hasSocat)('--on-port-loss pause: the music waits, and goes on from there', async () => {
    const pair = await PtyPair.plugged();
    const run = start(SONG, '--port', `serial:${pair.near}`, '--on-port-loss', 'pause');
    const first = farEnd(pair.far);
    await run.untilText(/playing +2:/);
    await pair.unplug();
    first.close();
    // Both are drawn from one state, but it can change between the two lines of a frame.
    await run.until(
      (text) => /is gone; the music waits for it/.test(text) && /paused +\d+:/.test(text),
      'a pause for the port',
    );
    await run.untilQuiet(1500);
    const [, bar] = /paused +(\d+):/.exec(run.text())!;
    await pair.plug();
    const second = farEnd(pair.far);
    const again = await run.untilText(/playing +\d+:/);
    expect(barOf(again)).toBeLessThanOrEqual(Number(bar) + 1);
    await expectRestated(second);
    await leave(run);
    second.close();
    await pair.remove();
  });
});

describe('listening with the screen up', () => {
  it('an output that goes away and comes back; the input is watched all the while', async () => {
    const [from, thru] = [join(folder, 'from'), join(folder, 'thru')];
    spawnSync('mkfifo', [from, thru]);
    const wire = openSync(from, constants.O_RDWR | constants.O_NONBLOCK);
    const send = (hex: string) => void writeSync(wire, bytesOf(hex));
    const first = farEnd(thru);
    const run = start('listen', '--from', `raw:${from}`, '--thru', `raw:${thru}`);
    await run.untilText('listening to');
    send('C3 13 B3 07 4D 65 00 64 00 06 0C 93 3C 40');
    await first.received(10);
    first.close();
    send('93 40 40');
    await run.untilText('the output is gone; listening goes on');
    send('83 3C 40 83 40 40');
    await run.untilText(/9 messages/);
    const second = farEnd(thru);
    await run.until((text) => !text.includes('the output is gone'), 'an end of the trouble');
    send('93 43 40');
    const reader = await expectRestated(second);
    expect(reader.noteOns).toEqual([{ channel: 3, key: 0x43, velocity: 0x40 }]);
    run.send('l');
    await run.untilText(/the output is there again/);
    await leave(run);
    second.close();
    closeSync(wire);
  });

  it.skipIf(!hasSocat)('an input that is pulled out and put back', async () => {
    const pair = await PtyPair.plugged();
    const run = start('listen', '--from', `serial:${pair.near}`);
    await run.untilText('listening to');
    let far = openSync(pair.far, constants.O_RDWR | constants.O_NONBLOCK | constants.O_NOCTTY);
    writeSync(far, bytesOf('93 3C 40'));
    await run.untilText(/1 message\b/);
    await pair.unplug();
    closeSync(far);
    await run.untilText(/is gone; waiting for it/);
    await pair.plug();
    await run.until((text) => !text.includes('is gone; waiting'), 'the input again');
    far = openSync(pair.far, constants.O_RDWR | constants.O_NONBLOCK | constants.O_NOCTTY);
    writeSync(far, bytesOf('93 40 40'));
    await run.untilText(/2 messages/);
    await leave(run);
    closeSync(far);
    await pair.remove();
  });

  it.skipIf(!hasSocat)(
    'song after song: what one leaves at a port that is gone, the next brings to rest',
    async () => {
      const pair = await PtyPair.plugged();
      const [first, second] = ['left.mid', 'next.mid'].map((name) => join(folder, name));
      // A pedal that is down and a long note on channel 1; then, long enough to wait for a cable, another channel.
      writeFileSync(
        first!,
        songBytes([
          [
            [0, [0xb0, 64, 127]],
            [0, [0x90, 60, 80]],
            [9600, [0x80, 60, 64]],
          ],
        ]),
      );
      writeFileSync(second!, beats());
      const run = start(first!, second!, '--port', `serial:${pair.near}`, '--wait');
      const module = new WireReader();
      let end = farEnd(pair.far);
      module.read(await end.received(6));
      expect(module.sounding).toBe(1);
      await pair.unplug();
      end.close();
      await run.untilText(/is gone/);
      run.send('N');
      await run.untilText(/next\.mid[\s\S]*playing +\d+:/);
      await pair.plug();
      end = farEnd(pair.far);
      const told = await end.received(40);
      module.read(told);
      expect(module.said.get('0:cc64')).toBe(0);
      expect(module.noteOns.filter(({ channel }) => channel === 0)).toHaveLength(1);
      await leave(run, 1); // the first song could not send all it had
      module.read((await end.received(told.length)).subarray(told.length));
      expect(module.sounding).toBe(0);
      end.close();
      await pair.remove();
    },
  );
});
