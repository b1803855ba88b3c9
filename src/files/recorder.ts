import { EVENT_LOG_HEAD, eventLogLine, eventLogRemark } from '../core/capture/event-log.ts';
import {
  END_OF_TRACK,
  SmfRecordEncoder,
  smfRecordHead,
  TRACK_AT,
  TRACK_LENGTH_AT,
} from '../core/capture/smf-record.ts';
import { Refusal } from '../trouble/refusal.ts';
import { RecordFile } from './record-file.ts';

/** Keeps what passed, message by message. What was flushed survives a kill of the program. */
export interface Recorder {
  /** @param bytes a whole message, kept by nobody */
  message(micros: number, port: string, bytes: Uint8Array): void;
  /** What a reader of the record should know; a song file has no place for it. */
  remark(micros: number, port: string, text: string): void;
  flush(): void;
  close(): void;
  /** Takes the file away again: nothing worth keeping was recorded. */
  discard(): void;
  /** Set once the disk took no more. */
  readonly trouble: string | undefined;
}

/**
 * `.mid` makes a Standard MIDI File, any other name a text log. Never writes over a file that is there.
 * @param title what was recorded, for the song file's track name
 * @throws Refusal when the file exists or cannot be made
 */
export function openRecorder(path: string, title: string): Recorder {
  const file = new RecordFile(path);
  const recorder = /\.midi?$/i.test(path) ? new SmfRecorder(file, title) : new LogRecorder(file);
  if (recorder.trouble === undefined) return recorder;
  recorder.discard();
  throw new Refusal(recorder.trouble, path, 'make room, or record to somewhere else');
}

class LogRecorder implements Recorder {
  #text = EVENT_LOG_HEAD;
  #length = 0;

  readonly #file: RecordFile;

  constructor(file: RecordFile) {
    this.#file = file;
    this.flush();
  }

  get trouble(): string | undefined {
    return this.#file.trouble;
  }

  message(micros: number, port: string, bytes: Uint8Array): void {
    this.#add(eventLogLine(micros, port, bytes));
  }

  remark(micros: number, port: string, text: string): void {
    this.#add(eventLogRemark(micros, port, text));
  }

  flush(): void {
    if (this.#text === '') return;
    const bytes = Buffer.from(this.#text, 'utf8');
    this.#text = '';
    if (this.#file.trouble !== undefined) return;
    const written = this.#file.write(bytes, this.#length);
    // Of what did not find room whole lines stay.
    if (written < bytes.length) {
      const kept = written === 0 ? 0 : bytes.lastIndexOf('\n', written - 1) + 1;
      this.#file.mend([], this.#length + kept);
    }
    this.#length += bytes.length;
    this.#file.sync();
  }

  close(): void {
    this.flush();
    this.#file.close();
  }

  discard(): void {
    this.#file.remove();
  }

  #add(line: string): void {
    this.#text += line;
    if (this.#text.length > FLUSH_AT) this.flush();
  }
}

/**
 * The song file is whole after every flush, also after one that found no room: first the track's length is raised, then the new events with an
 * end of track are written over the old end of track, in one write. Killed between the two, the file says
 * more than it holds, and what it holds still ends with an end of track.
 */
class SmfRecorder implements Recorder {
  readonly #encoder = new SmfRecordEncoder();
  #pending = 0;
  /** File offset of the end-of-track event. */
  #end: number;

  readonly #file: RecordFile;

  constructor(file: RecordFile, title: string) {
    this.#file = file;
    const head = smfRecordHead(title);
    this.#file.write(head, 0);
    this.#end = head.length - END_OF_TRACK.length;
  }

  get trouble(): string | undefined {
    return this.#file.trouble;
  }

  message(micros: number, _port: string, bytes: Uint8Array): void {
    this.#encoder.message(micros, bytes);
    this.#pending += bytes.length;
    if (this.#pending > FLUSH_AT) this.flush();
  }

  remark(): void {}

  flush(): void {
    if (this.#pending === 0) return;
    this.#pending = 0;
    const events = this.#encoder.take();
    const end = this.#end + events.length;
    if (this.#file.trouble !== undefined) return;
    const bytes = Buffer.concat([events, END_OF_TRACK]);
    this.#file.write(trackLength(end), TRACK_LENGTH_AT);
    if (this.#file.write(bytes, this.#end) < bytes.length) {
      const places = [
        { bytes: END_OF_TRACK, at: this.#end },
        { bytes: trackLength(this.#end), at: TRACK_LENGTH_AT },
      ];
      this.#file.mend(places, this.#end + END_OF_TRACK.length);
      return;
    }
    this.#end = end;
    this.#file.sync();
  }

  close(): void {
    this.flush();
    this.#file.close();
  }

  discard(): void {
    this.#file.remove();
  }
}

/** The track's length where its end of track begins at this place in the file. */
function trackLength(end: number): Buffer {
  const length = Buffer.alloc(4);
  length.writeUInt32BE(end + END_OF_TRACK.length - TRACK_AT);
  return length;
}

/** A busy wire brings 3 kB a second, so this is reached only when time runs faster than it should. */
const FLUSH_AT = 65_536;
