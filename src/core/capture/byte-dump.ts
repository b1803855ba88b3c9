/**
 * A dump of MIDI bytes, read back. Three kinds are known by their content:
 *
 *   bytes          anything else: the bytes as they were on the wire, without times
 *   timed lines    `500000.5 90 3C 40`: microseconds, then bytes in hex (the file port's record)
 *   log lines      `500000<TAB>port<TAB>90 3C 40<TAB>meaning` (the capture's text log)
 *
 * Lines that begin with `#` and empty lines are passed over.
 */
export type ByteDump =
  | { readonly kind: 'bytes'; readonly bytes: Uint8Array }
  | { readonly kind: 'timed'; readonly chunks: readonly TimedChunk[] }
  /** A song file is no dump, and a text with times has a line that is none. */
  | { readonly kind: 'song' }
  | { readonly kind: 'broken'; readonly line: number };

export interface TimedChunk {
  readonly micros: number;
  readonly bytes: Uint8Array;
}

export function readByteDump(file: Uint8Array): ByteDump {
  if (startsWith(file, 'MThd')) return { kind: 'song' };
  if (!looksTimed(file)) return { kind: 'bytes', bytes: file };
  const chunks: TimedChunk[] = [];
  const lines = textOf(file).split('\n');
  for (const [index, line] of lines.entries()) {
    if (line.trim() === '' || line.startsWith('#')) continue;
    const chunk = chunkOf(line);
    // The last line of a killed run may be half a line.
    if (chunk === undefined && index === lines.length - 1) break;
    if (chunk === undefined) return { kind: 'broken', line: index + 1 };
    chunks.push(chunk);
  }
  return { kind: 'timed', chunks };
}

function chunkOf(line: string): TimedChunk | undefined {
  const columns = line.split('\t');
  const [time = '', hex = ''] =
    columns.length >= 3 ? [columns[0], columns[2]] : [line.split(/\s/, 1)[0], line.replace(/^\S+\s+/, '')];
  if (!/^\d+(\.\d+)?$/.test(time) || !/^[0-9A-Fa-f]{2}(\s+[0-9A-Fa-f]{2})*\s*$/.test(hex)) return undefined;
  const bytes = hex
    .trim()
    .split(/\s+/)
    .map((pair) => Number.parseInt(pair, 16));
  return { micros: Number(time), bytes: Uint8Array.from(bytes) };
}

/** A text whose first line of substance is a time with bytes, or our own heading. */
function looksTimed(file: Uint8Array): boolean {
  if (startsWith(file, '# wirepit ')) return true;
  const head = textOf(file.subarray(0, 4096));
  const first = head.split('\n').find((line) => line.trim() !== '' && !line.startsWith('#'));
  return first !== undefined && chunkOf(first) !== undefined;
}

function startsWith(file: Uint8Array, text: string): boolean {
  return [...text].every((letter, index) => file[index] === letter.charCodeAt(0));
}

/** Bytes as Latin-1: a byte above 7F is a letter of a port's name, never part of a number. */
export function textOf(file: Uint8Array): string {
  let text = '';
  for (let at = 0; at < file.length; at += CHUNK)
    text += String.fromCharCode(...file.subarray(at, at + CHUNK));
  return text.replaceAll('\r\n', '\n');
}

const CHUNK = 8192;
