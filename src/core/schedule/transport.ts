import { ALL_CHANNELS, Phase, type Playback } from './playback.ts';
import { restoreAll } from './restore.ts';
import { Time } from './scheduler-times.ts';
import { Silence, silence } from './silence.ts';
import { START_GAP_MICROS } from './sync-out.ts';
import { Transport, TransportSlot } from './transport-board.ts';

export function play(p: Playback): void {
  if (p.state === Transport.playing) return;
  if (p.state === Transport.ended) locate(p, p.times[Time.start]!);
  p.finished = false;
  begin(p, p.state !== Transport.paused);
}

export function pause(p: Playback): void {
  if (p.state !== Transport.playing) return;
  const counting = p.countIn.pending;
  halt(p, Silence.rest);
  p.state = Transport.paused;
  if (!counting) return;
  // The count will be given again from its beginning.
  p.state = Transport.stopped;
  locate(p, Math.max(0, p.times[Time.floor]!));
}

export function stop(p: Playback): void {
  halt(p, Silence.full);
  p.state = Transport.stopped;
  locate(p, p.times[Time.start]!);
}

export function seek(p: Playback, to: number): void {
  const playing = p.state === Transport.playing;
  if (playing) halt(p, Silence.rest);
  locate(p, to);
  p.finished = false;
  if (playing) begin(p, false);
  else if (p.state === Transport.ended) p.state = Transport.paused;
}

/** The song is over: all rests, and what still sounds may die away. */
export function end(p: Playback): void {
  halt(p, Silence.end);
  p.state = Transport.ended;
  p.times[Time.position] = p.times[Time.end]!;
  p.sender.wireFree(Time.ringOut, p.ringOutMicros);
}

/** Beyond this the machine slept: the music waits for it instead of running away. */
export const STALL_MICROS = 1_000_000;

/** The machine slept: silence, and go on from where the music was; or, where a clock is followed, from where that is. */
export function recover(p: Playback): void {
  const t = p.times;
  p.board.numbers[TransportSlot.stalls]! += 1;
  if (p.pieces > 0) p.row += 1; // the rest of a broken SysEx is worth nothing
  p.sender.stampNow();
  halt(p, Silence.rest);
  if (p.following && t[Time.followScale]! > 0) locate(p, Math.max(0, onLine(p)));
  else t[Time.position] = Math.min(t[Time.nextSong]!, t[Time.end]!);
  begin(p, false);
}

/** Stands still and is silent; the position stays. */
export function halt(p: Playback, depth: number): void {
  if (p.state === Transport.playing) p.songNow(Time.position);
  p.breakOffPieces();
  p.countIn.cancel();
  p.board.numbers[TransportSlot.countedToMicros] = -Infinity;
  silence(p.sender, p.sounding, p.sender.used, depth);
  p.sync.stop(p.sender);
  p.phase = Phase.running;
  p.leadEnd = 0;
}

/** Puts the cursor to a song time, and the song's memory to what was said before it. */
export function locate(p: Playback, to: number): void {
  const t = p.times;
  const row = p.cursors.rowAt(to);
  p.pieces = 0;
  if (row < p.row) {
    p.song.forget();
    p.row = 0;
  }
  const { event, columns } = p.plan;
  for (; p.row < row; p.row += 1) {
    const at = event[p.row]!;
    const kind = columns.status[at]! & 0xf0;
    if (kind !== 0x90 && kind !== 0x80) p.rows.remember(at);
  }
  t[Time.position] = to;
  t[Time.floor] = to > 0 ? to : -Infinity;
  p.looping = t[Time.loopTo]! > to;
  p.sync.jump(to);
}

/** Changes the speed from here on; the position does not jump. */
export function scaleTempo(p: Playback, scale: number): void {
  if (p.following) return;
  const t = p.times;
  if (p.running && t[Time.now]! > t[Time.anchorNow]!) {
    p.songNow(Time.anchorSong);
    t[Time.anchorNow] = t[Time.now]!;
  }
  t[Time.scale] = scale;
  p.board.numbers[TransportSlot.tempoScale] = scale;
}

/** Play begins (again) at `position`: reset and settle, chase, count-in, music. */
export function begin(p: Playback, withCountIn: boolean): void {
  const t = p.times;
  const position = t[Time.position]!;
  p.state = Transport.playing;
  p.phase = Phase.starting;
  p.heard = false;
  p.behind = false;
  p.restrike.locate(p.row, position);
  // What a plan moved ahead of the song's first moment needs a run-up.
  const first = p.row === 0 && position === 0 && p.plan.count > 0 ? p.plan.releaseMicros[0]! : position;
  t[Time.anchorSong] = Math.min(first, position);
  if (withCountIn && p.countIn.bars > 0) {
    t[Time.count] = position - p.countIn.prepare(position);
    t[Time.anchorSong] = Math.min(t[Time.anchorSong]!, t[Time.count]!);
    p.leadEnd = firstNoteRow(p, position);
    p.board.numbers[TransportSlot.countedToMicros] = position;
  }
  t[Time.lead] = t[Time.anchorSong]!;
  t[Time.anchorNow] = Infinity;
  t[Time.notBefore] = Math.max(t[Time.now]!, t[Time.notBefore]!);
  const { sysEx } = p.song;
  if (!sysEx.sameReset(p.sender.memory.sysEx)) {
    p.sender.sysEx(0xf0, sysEx.reset);
    p.sender.wireFree(Time.notBefore, p.settleMicros);
  }
}

/** The second step of a start, once a reset has settled. The music waits until its bytes are through. */
export function finishStart(p: Playback): void {
  p.phase = Phase.running;
  p.sender.stampNow();
  restoreAll(p);
  p.restrike.play(p.rows);
  p.sync.start(p.sender);
  if (p.following) alongLine(p);
  else p.sender.wireFree(Time.anchorNow, p.sync.on ? START_GAP_MICROS : 0);
}

/**
 * The song goes along a line that another machine's clock gives: song time = `line[0]` + `line[1]` · run time. With
 * a scale of 0 a song that is about to begin waits, chase and all done, for the first pulse. Rows that were played
 * are not played again when the line lies a little further back, and what it jumps over is late; a line that lies
 * more than a second away is a jump.
 */
export function follow(p: Playback, line: Float64Array): void {
  const t = p.times;
  p.following = true;
  p.sender.stampNow();
  t[Time.followSong] = line[0]!;
  t[Time.followScale] = line[1]!;
  if (!p.running) return;
  const scale = t[Time.followScale]!;
  if (scale > 0 && t[Time.anchorNow]! < Infinity) {
    p.songNow(Time.position);
    const ahead = onLine(p) - t[Time.position]!;
    if (Math.abs(ahead) > STALL_MICROS * scale) {
      seek(p, Math.max(0, onLine(p)));
      return;
    }
  }
  alongLine(p);
}

/** Song time at which the line stands now; the clock may go on when the song is over. */
function onLine(p: Playback): number {
  const t = p.times;
  return Math.min(t[Time.followSong]! + t[Time.followScale]! * t[Time.now]!, t[Time.end]!);
}

function alongLine(p: Playback): void {
  const t = p.times;
  const scale = t[Time.followScale]!;
  if (!(scale > 0)) {
    if (t[Time.anchorNow]! < Infinity) p.songNow(Time.anchorSong);
    t[Time.anchorNow] = Infinity;
    return;
  }
  t[Time.anchorSong] = onLine(p);
  t[Time.anchorNow] = t[Time.now]!;
  t[Time.scale] = scale;
  p.board.numbers[TransportSlot.tempoScale] = scale;
}

/** Row of the first note among those that stand at the very start: the ones before it may leave early. */
function firstNoteRow(p: Playback, position: number): number {
  const { event, releaseMicros, count } = p.plan;
  let row = p.row;
  while (row < count && releaseMicros[row]! <= position && !p.rows.isNoteOn(event[row]!)) row += 1;
  return row;
}

/** The port's receiver has forgotten everything, or is another one: silence it and tell it all anew. */
export function restate(p: Playback): void {
  p.sender.stampNow();
  silence(p.sender, p.sounding, ALL_CHANNELS, Silence.full);
  p.sender.memory.forget();
  if (p.state !== Transport.playing) return;
  p.songNow(Time.position);
  begin(p, false);
}
