import type { ReceiverMemory } from './receiver-memory.ts';
import { UNSET } from './rest-values.ts';
import type { ChaseSink } from './sender.ts';
import { transposedKey } from './transposed-key.ts';

const want = new Uint8Array(128);

/** Polyphonic pressure, by the keys as they are sent: the song's, transposed by `semitones`. */
export function chaseKeyPressure(
  song: ReceiverMemory,
  sink: ChaseSink,
  channel: number,
  semitones: number,
): void {
  want.fill(UNSET);
  for (let key = 0; key < 128; key += 1) {
    const pressure = song.keyPressure[channel * 128 + key]!;
    if (pressure !== UNSET) want[transposedKey(key, semitones)] = pressure;
  }
  for (let key = 0; key < 128; key += 1) {
    const sent = sink.memory.keyPressure[channel * 128 + key]!;
    const pressure = want[key] === UNSET && sent !== UNSET ? 0 : want[key]!;
    if (pressure !== sent) sink.message(0xa0 | channel, key, pressure);
  }
}
