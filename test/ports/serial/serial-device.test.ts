import { EventEmitter } from 'node:events';
import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { SerialDevice, type SerialLibrary } from '../../../src/ports/serial/serial-device.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { until } from '../../support/pty-pair.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** What the pretended library does at its next openings. */
interface Ways {
  /** What an opening says; undefined where it works. */
  error: string | undefined;
  /** The rate that the line then says it makes; undefined where it does not tell, NaN where asking fails. */
  baud: number | undefined;
  /** Openings that have not answered yet. */
  readonly pending: (() => void)[];
  answersLate: boolean;
}

/** A pretended serial library: every line that was made, in order. */
function fakeLibrary() {
  const lines: Line[] = [];
  const ways: Ways = { error: undefined, baud: undefined, pending: [], answersLate: false };
  class Line extends EventEmitter {
    isOpen = false;
    isRead = false;
    readonly options: object;
    readonly port =
      ways.baud === undefined
        ? {}
        : {
            getBaudRate: async () => {
              if (Number.isNaN(ways.baud)) throw new Error('not told');
              return { baudRate: ways.baud };
            },
          };
    constructor(options: object) {
      super();
      this.options = options;
      lines.push(this);
    }
    open(done: (error: Error | null) => void): void {
      const answer = (): void => {
        this.isOpen = ways.error === undefined;
        done(ways.error === undefined ? null : new Error(ways.error));
      };
      if (ways.answersLate) ways.pending.push(answer);
      else setImmediate(answer);
    }
    resume(): void {
      this.isRead = true;
    }
    close(done?: () => void): void {
      if (!this.isOpen) throw new Error('closed twice');
      this.isOpen = false;
      setImmediate(() => {
        this.emit('close');
        done?.();
      });
    }
    /** The device goes by itself. */
    hangUp(): void {
      this.isOpen = false;
      this.emit('close');
    }
  }
  return { lines, ways, load: async () => ({ SerialPort: Line }) as unknown as SerialLibrary };
}

let path: string;
let library: ReturnType<typeof fakeLibrary>;
let told: string[];
let isSuspected: boolean;
let devices: SerialDevice[];
beforeEach(() => {
  path = join(tempFolder('serial'), 'ttyS9');
  writeFileSync(path, '');
  library = fakeLibrary();
  told = [];
  isSuspected = false;
  devices = [];
});
afterEach(async () => {
  for (const device of devices) await device.close();
});

function device(drain = true): SerialDevice {
  const listener = { opened: () => told.push('opened'), lost: () => told.push('lost') };
  const made = new SerialDevice(path, 31_250, listener, drain, () => isSuspected, library.load);
  devices.push(made);
  return made;
}

describe('opening', () => {
  test.each([
    ['an output', true],
    ['an input', false],
  ])('%s: at its rate; what comes in is thrown away where nobody else reads it', async (_, drain) => {
    await device(drain).open(false);
    expect(told).toEqual(['opened']);
    expect(library.lines.map(({ options, isRead }) => [options, isRead])).toEqual([
      [{ path, baudRate: 31_250, autoOpen: false }, drain],
    ]);
    library.lines[0]!.emit('error', new Error('said before it closes')); // no exception
  });

  test.each([31_250, 31_500, undefined, Number.NaN])(
    'a line that says it makes %s baud is taken',
    async (baud) => {
      library.ways.baud = baud;
      await device().open(false);
      expect(told).toEqual(['opened']);
    },
  );

  test('one that makes another rate is refused, and closed', async () => {
    library.ways.baud = 38_400;
    await expect(device().open(false)).rejects.toMatchObject({
      message: `serial:${path}: this UART makes 38400 baud where 31250 is asked for; name a rate it can make (serial:${path}@38400) if the far end can be set to it`,
    });
    expect([told.filter((word) => word === 'opened'), library.lines[0]!.isOpen]).toEqual([[], false]);
  });

  test.each([
    ['Error: Cannot lock port', 'another program has it open; close that program'],
    ['Error: Inappropriate ioctl', 'Inappropriate ioctl; check that it is a serial port'],
    ['strange', 'strange; check that it is a serial port'],
  ])('%s', async (error, reason) => {
    library.ways.error = error;
    for (const wait of [false, true]) {
      const message = `serial:${path}: ${reason}`;
      await expect(device().open(wait)).rejects.toMatchObject({ message });
    }
    expect(told).toEqual([]);
  });

  test('a library that cannot be loaded is told of in its first line', async () => {
    library.load = async () => {
      throw new Error('no native part\nat somewhere');
    };
    await expect(device().open(true)).rejects.toThrow(
      `serial:${path}: the serial library cannot be loaded (no native part); install wirepit again`,
    );
  });
});

describe('a device that comes and goes', () => {
  const untilTold = (...words: string[]) => until(() => told.join() === words.join(), words.join());

  test('may be waited for; otherwise it has to be there', async () => {
    rmSync(path);
    library.ways.error = 'No such file or directory';
    await expect(device().open(false)).rejects.toThrow(
      `serial:${path}: there is no such device; \`wirepit ports\``,
    );
    await device().open(true);
    expect(told).toEqual([]);
    library.ways.error = undefined;
    writeFileSync(path, '');
    await untilTold('opened');
  });

  test('hung up: lost once, and opened anew', async () => {
    await device().open(false);
    library.lines[0]!.hangUp();
    expect(told).toEqual(['opened', 'lost']);
    await untilTold('opened', 'lost', 'opened');
    library.lines[0]!.emit('close'); // of an opening that is no more
    expect(told.length).toBe(3);
    expect(library.lines.length).toBe(2);
  });

  test('suspected by whoever writes: closed, and opened anew', async () => {
    await device().open(false);
    isSuspected = true;
    await untilTold('opened', 'lost');
    isSuspected = false;
    await untilTold('opened', 'lost', 'opened');
    expect(library.lines.map(({ isOpen }) => isOpen)).toEqual([false, true]);
  });

  test('gone from its folder: lost, tried no more until it is there, and then once at a time', async () => {
    await device().open(false);
    rmSync(path);
    await untilTold('opened', 'lost');
    await new Promise((resolve) => setTimeout(resolve, 1100)); // two looks
    expect(library.lines.length).toBe(1);
    library.ways.answersLate = true;
    writeFileSync(path, '');
    await until(() => library.ways.pending.length === 1, 'the opening');
    await new Promise((resolve) => setTimeout(resolve, 1100));
    expect(library.lines.length).toBe(2);
    library.ways.pending.shift()!();
    await untilTold('opened', 'lost', 'opened');
  });

  test('one that fails to open again is tried again', async () => {
    await device().open(false);
    library.ways.error = 'busy';
    library.lines[0]!.hangUp();
    await until(() => library.lines.length >= 3, 'two tries in vain');
    library.ways.error = undefined;
    await untilTold('opened', 'lost', 'opened');
  });
});

describe('closing', () => {
  test('closes the line, says nothing, and looks no more', async () => {
    const held = heldFromNow();
    const one = device();
    await one.open(false);
    await one.close();
    await one.close();
    expect([told, library.lines[0]!.isOpen]).toEqual([['opened'], false]);
    await held.givenBack();
  });

  test('while it opens again: what opens then is closed at once', async () => {
    const one = device();
    await one.open(false);
    library.ways.answersLate = true;
    library.lines[0]!.hangUp();
    await until(() => library.ways.pending.length === 1, 'the opening');
    await one.close();
    library.ways.pending[0]!();
    await until(() => library.lines[1]!.listenerCount('error') > 0, 'the answer');
    await until(() => !library.lines[1]!.isOpen, 'the end');
    expect(told).toEqual(['opened', 'lost']);
  });
});
