import { At } from './outlet.ts';
import type { Playback } from './playback.ts';
import { catchUp } from './restore.ts';
import { Time } from './scheduler-times.ts';
import { PIECE_BYTES } from './sender.ts';
import { SysExRole } from './sysex-catalogue.ts';
import { TransportSlot } from './transport-board.ts';

/**
 * Hands over the next row of the plan, whose run time is in `nextRun`.
 * @param late too late for a note-on; note-offs still go, state is caught up with by the chase
 */
export function playRow(p: Playback, late: boolean): void {
  const t = p.times;
  const { columns, event } = p.plan;
  const at = event[p.row]!;
  const status = columns.status[at]!;
  const kind = status & 0xf0;
  if (p.behind && !late) catchUp(p);
  const register = p.sender.at;
  register[At.songMicros] = columns.micros[at]!;
  register[At.releaseMicros] = t[Time.nextRun]!;
  register[At.dueMicros] = t[Time.nextRun]!;
  if (kind === 0xf0) {
    playPayload(p, at, late);
    return;
  }
  p.row += 1;
  if (kind === 0x90 && columns.data2[at]! > 0) playNoteOn(p, at, late);
  else if (kind === 0x80 || kind === 0x90) p.rows.noteOff(at);
  else if (!late) p.rows.state(at);
  else {
    p.rows.remember(at);
    p.behind = true;
  }
}

function playNoteOn(p: Playback, at: number, late: boolean): void {
  const t = p.times;
  const due = p.plan.columns.micros[at]!;
  if (due < t[Time.floor]! || (p.looping && due >= t[Time.loopTo]!)) {
    p.rows.skip(at); // due before play began, or after the repeat
  } else if (late) {
    p.rows.skip(at);
    p.board.numbers[TransportSlot.skippedNoteOns]! += 1;
  } else {
    p.heard = true;
    p.sender.at[At.dueMicros] = t[Time.anchorNow]! + (due - t[Time.anchorSong]!) / t[Time.scale]!;
    p.rows.noteOn(at);
  }
}

function playPayload(p: Playback, at: number, late: boolean): void {
  const { columns } = p.plan;
  const payload = columns.payload[at]!;
  const role = p.catalogue.role[payload]!;
  const length = columns.payloadLength[payload]!;
  if (role === SysExRole.held || length === 0) {
    if (role === SysExRole.held) p.board.numbers[TransportSlot.heldSysEx]! += 1;
    p.row += 1;
    return;
  }
  if (role !== SysExRole.loose && columns.status[at] === 0xf7 && p.pieces === 0 && !p.sender.sysExOpen) {
    p.row += 1; // its beginning did not go out, or something ended it: alone it would be data for any status
    return;
  }
  if (late && p.pieces === 0 && role !== SysExRole.reset && role !== SysExRole.loose) {
    p.rows.remember(at);
    p.behind = true;
    p.row += 1;
    return;
  }
  // A long one goes in pieces at the speed of the wire, so that commands and real-time bytes get between.
  const piece = Math.min(PIECE_BYTES, length - p.pieces);
  if (role === SysExRole.loose) p.rows.loose(at, p.pieces, piece, late);
  else p.sender.piece(columns.status[at]!, payload, p.pieces, piece);
  p.pieces += piece;
  if (p.pieces < length) {
    p.sender.wireFree(Time.notBefore, 0);
    return;
  }
  p.pieces = 0;
  p.row += 1;
  p.rows.remember(at);
  p.sender.memory.foldSysEx(payload);
  if (role === SysExRole.reset) p.sender.wireFree(Time.notBefore, p.settleMicros);
  else if (length > PIECE_BYTES) p.sender.wireFree(Time.notBefore, 0);
}
