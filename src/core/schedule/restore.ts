import { chaseChannel } from './chase.ts';
import { chaseKeyPressure } from './chase-key-pressure.ts';
import { ALL_CHANNELS, type Playback } from './playback.ts';
import { liftPedals, Silence, silence, silenceKey } from './silence.ts';

/** Brings channels to the state the song says they should have, as it differs from what was sent. */
export function restoreChannels(p: Playback, channels: number): void {
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0) continue;
    // On a channel that the song leaves alone, what whoever plays along has set is what should be there.
    const { visitor } = p;
    const said = visitor !== undefined && (visitor.own & (1 << channel)) !== 0 ? visitor.said : p.song;
    chaseChannel(said, p.sender, channel, p.board.programOverride[channel]!);
    if (said === p.song) chaseKeyPressure(said, p.sender, channel, p.rows.shift(channel));
  }
}

/** The same for everything: lasting SysEx first, in the song's order, then the channels. */
export function restoreAll(p: Playback): void {
  const { sysEx } = p.song;
  const sent = p.sender.memory.sysEx;
  for (let kind = sysEx.nextSurplus(sent, 0); kind > 0; kind = sysEx.nextSurplus(sent, kind)) {
    p.sender.restSysEx(kind);
  }
  for (let row = sysEx.nextMissing(sent); row >= 0; row = sysEx.nextMissing(sent)) p.sender.sysEx(0xf0, row);
  restoreChannels(p, ALL_CHANNELS);
}

/** Silences channels; while the music runs their state is there again at once. */
export function silenceAndRestore(p: Playback, channels: number, depth: number): void {
  if (channels === 0) return;
  silence(p.sender, p.sounding, channels, depth);
  if (p.running) restoreChannels(p, channels);
}

/**
 * Some channels are with a receiver that has forgotten everything. No SysEx: it would reach the others too.
 */
export function restateChannels(p: Playback, channels: number): void {
  silence(p.sender, p.sounding, channels, Silence.full);
  p.sender.memory.forgetChannels(channels);
  p.sender.memory.presumeRest(p.song, channels);
  if (p.running) restoreChannels(p, channels);
}

export function silenceNote(p: Playback, channel: number, key: number): void {
  p.sender.stampNow();
  p.visitor?.releaseKey(channel, key);
  if (p.sounding.strikes[channel * 128 + key]! > 0) {
    silenceKey(p.sender, p.sounding, channel, key);
    return;
  }
  // Not ours, or only a pedal holds it: a note-off for the first, pedals up and down for the second. Other notes
  // that the pedal holds end too; MIDI has no word for one of them.
  p.sender.message(0x80 | channel, key, 64);
  liftPedals(p.sender, channel);
  if (p.running) restoreChannels(p, 1 << channel);
}

/** After late rows were left out: what they said, in one go. */
export function catchUp(p: Playback): void {
  p.behind = false;
  p.sender.stampNow();
  restoreAll(p);
}
