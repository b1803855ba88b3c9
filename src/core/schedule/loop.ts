import type { Playback } from './playback.ts';
import { restoreAll } from './restore.ts';
import { Time } from './scheduler-times.ts';
import { Silence, silence } from './silence.ts';
import { seek } from './transport.ts';
import { Transport, TransportSlot } from './transport-board.ts';

/** A shorter loop would be a tone. */
export const SHORTEST_LOOP_MICROS = 10_000;

/**
 * Sets the loop, or takes it away when it has no length. A position at or past its end goes to its beginning
 * at once; a later seek past its end leaves it.
 */
export function setLoop(p: Playback, fromMicros: number, toMicros: number): void {
  const t = p.times;
  // The clock that is followed says where the song is: a repeat would be taken back by its next pulse.
  const on = !p.following && fromMicros >= 0 && toMicros - fromMicros >= SHORTEST_LOOP_MICROS;
  t[Time.loopFrom] = on ? fromMicros : -1;
  t[Time.loopTo] = on ? toMicros : -1;
  p.board.numbers[TransportSlot.loopFromMicros] = t[Time.loopFrom]!;
  p.board.numbers[TransportSlot.loopToMicros] = t[Time.loopTo]!;
  p.looping = on;
  if (p.sync.waiting) rejoin(p);
  if (!on) return;
  rememberLoop(p);
  if (p.state === Transport.playing) p.songNow(Time.position);
  if (t[Time.position]! < toMicros) return;
  if (!p.running) {
    seek(p, fromMicros);
    return;
  }
  t[Time.nextRun] = t[Time.now]!;
  repeat(p);
}

/**
 * From B to A without a gap: B is at run time `nextRun`, and the clock goes on from exactly there. The music
 * does not wait for the chase, so silence and chase are as short as they can be.
 */
export function repeat(p: Playback): void {
  const t = p.times;
  p.breakOffPieces();
  silence(p.sender, p.sounding, p.sender.used, Silence.turn);
  if (!p.sync.waiting) p.sync.relocate(p.sender, t[Time.loopFrom]!);
  p.sync.repeated();
  t[Time.anchorNow] = t[Time.nextRun]!;
  t[Time.anchorSong] = t[Time.loopFrom]!;
  t[Time.floor] = t[Time.loopFrom]!;
  p.row = p.loopRow;
  p.leadEnd = 0;
  p.looping = true;
  p.song.copyFrom(p.loopSong);
  restoreAll(p);
  p.restrike.playLoop(p.rows);
}

/** The song's memory at the loop's beginning is kept, so that a repeat need not read the song again. */
function rememberLoop(p: Playback): void {
  const { event, columns } = p.plan;
  p.loopRow = p.cursors.rowAfterChase(p.times[Time.loopFrom]!);
  p.loopSong.forget();
  for (let row = 0; row < p.loopRow; row += 1) {
    const at = event[row]!;
    const status = columns.status[at]!;
    if (status >= 0xf0) p.loopSong.foldSysEx(columns.payload[at]!);
    else p.loopSong.fold(status, columns.data1[at]!, columns.data2[at]!);
  }
  p.restrike.locateLoop(p.loopRow, p.times[Time.loopFrom]!);
}

/** The loop was changed after the follower had already been sent back for its repeat. */
function rejoin(p: Playback): void {
  p.songNow(Time.nextSong);
  p.sync.repeated();
  p.sync.stop(p.sender);
  p.sync.jump(p.times[Time.nextSong]!);
  p.sync.start(p.sender);
}
