import { constants, openSync, readFileSync, writeSync } from 'node:fs';
import { spawn as spawnPty } from '@lydell/node-pty';
import { PtyPair } from '../../support/pty-pair.ts';
import { streamBytes } from './full-wire.ts';

export interface ListenResult {
  readonly bytesSent: number;
  readonly bytesHeard: number;
  readonly messagesHeard: number;
  readonly faults: number;
  /** Share of one core, all threads of the process together. */
  readonly cpuShare: number;
  readonly screenBytesPerSecond: number;
}

/** The built program, listening to a full wire with its screen in an 80x24 terminal. */
export async function listenWithScreen(program: string, seconds: number): Promise<ListenResult> {
  const pair = await PtyPair.plugged();
  const far = openSync(pair.far, constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
  const child = spawnPty(process.execPath, [program, 'listen', '--from', `serial:${pair.near}`, '--json'], {
    cols: 80,
    rows: 24,
    name: 'xterm-256color',
    env: { ...process.env, CI: 'false' } as Record<string, string>,
  });
  let screen = '';
  child.onData((text) => {
    screen += text;
  });
  await new Promise((resolve) => setTimeout(resolve, START_MS));
  const before = { cpu: cpuSeconds(child.pid), screen: screen.length, at: performance.now() };
  const bytesSent = await feed(far, seconds);
  const took = (performance.now() - before.at) / 1000;
  const cpuShare = (cpuSeconds(child.pid) - before.cpu) / took;
  const screenBytesPerSecond = (screen.length - before.screen) / took;
  await new Promise((resolve) => setTimeout(resolve, 300));
  const exited = new Promise((resolve) => child.onExit(resolve));
  child.write('q');
  await exited;
  await pair.remove();
  const json = /\{"schema":"wirepit-listen\/1".*\}/.exec(screen);
  if (json === null) throw new Error(`no report at the end of the screen: ${screen.slice(-500)}`);
  const report = JSON.parse(json[0]) as {
    heard: { bytes: number; messages: number };
    faults: { total: number };
  };
  return {
    bytesSent,
    bytesHeard: report.heard.bytes,
    messagesHeard: report.heard.messages,
    faults: report.faults.total,
    cpuShare,
    screenBytesPerSecond,
  };
}

/** Writes the stream at the wire's pace, 3,125 bytes a second, catching up when this process was busy. */
async function feed(far: number, seconds: number): Promise<number> {
  const stream = streamBytes(Math.ceil((seconds * 3125) / 3));
  const began = performance.now();
  let sent = 0;
  while (sent < stream.length) {
    const due = Math.min(stream.length, Math.floor(((performance.now() - began) * 3125) / 1000));
    while (sent < due) sent += writeSync(far, stream, sent, due - sent);
    await new Promise((resolve) => setTimeout(resolve, 1));
  }
  return sent;
}

/** User and system time of a process, from /proc/<pid>/stat (proc(5): fields 14 and 15, in 1/100 s). */
function cpuSeconds(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8')
    .replace(/^.*\) /, '')
    .split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

const START_MS = 2500;
