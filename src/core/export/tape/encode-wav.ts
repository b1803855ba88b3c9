/** A RIFF/WAVE file, one channel, sixteen bits, PCM (Multimedia Programming Interface 1.0, IBM and Microsoft, 1991). */
export function encodeWav(samples: Int16Array, sampleRate: number): Uint8Array<ArrayBuffer> {
  const dataBytes = samples.length * 2;
  const file = new Uint8Array(WAV_HEAD + dataBytes);
  const view = new DataView(file.buffer);
  const word = (at: number, letters: string) =>
    file.set(
      [...letters].map((letter) => letter.charCodeAt(0)),
      at,
    );
  word(0, 'RIFF');
  view.setUint32(4, WAV_HEAD - 8 + dataBytes, true);
  word(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, sampleRate, true);
  view.setUint32(28, sampleRate * 2, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  word(36, 'data');
  view.setUint32(40, dataBytes, true);
  for (let at = 0; at < samples.length; at += 1) view.setInt16(WAV_HEAD + at * 2, samples[at]!, true);
  return file;
}

const WAV_HEAD = 44;
