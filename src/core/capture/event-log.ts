import { describeOnChannel, describeSysEx } from '../instrument/message-words.ts';
import { hexText } from '../midi/hex-text.ts';

/** First line of a log: what the file is. Columns are parted by tabs (docs/capture.md). */
export const EVENT_LOG_HEAD = '# wirepit log 1: run time in microseconds, port, bytes in hex, meaning\n';

/**
 * One line of the log: `500000<TAB>serial:/dev/ttyS0<TAB>90 3C 40<TAB>channel 1: note on C4, velocity 64`.
 * @param bytes a whole message: status and data, or SysEx
 */
export function eventLogLine(micros: number, port: string, bytes: Uint8Array): string {
  const time = Number.isInteger(micros) ? String(micros) : micros.toFixed(1);
  const meaning =
    bytes[0] === 0xf0 ? describeSysEx(bytes) : describeOnChannel(bytes[0]!, bytes[1] ?? 0, bytes[2] ?? 0);
  return `${time}\t${port.replace(/[\t\n\r]/g, ' ')}\t${hexText(bytes)}\t${meaning}\n`;
}

/** A remark for the reader of the log: a fault in the stream, a port that went away. */
export function eventLogRemark(micros: number, port: string, text: string): string {
  return `# ${Math.round(micros)}\t${port.replace(/[\t\n\r]/g, ' ')}\t${text}\n`;
}
