import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync, readSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { TtyOutput } from '../../../src/screen/terminal/tty-output.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('tty-output');
let count = 0;

/** A pipe as the terminal: it holds 64 kB and then makes a writer wait, as a terminal that does not read does. */
function openPipe(flags: number) {
  const path = join(folder, `pipe-${++count}`);
  execFileSync('mkfifo', [path]);
  const far = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  const near = openSync(path, constants.O_WRONLY | flags);
  const scratch = Buffer.alloc(65536);
  return {
    near,
    far,
    read(): Buffer {
      try {
        return Buffer.from(scratch.subarray(0, readSync(far, scratch)));
      } catch {
        return Buffer.alloc(0);
      }
    },
  };
}

const WAYS = [
  ['opened again', openPipe(constants.O_NONBLOCK), undefined],
  ['shared, waiting', openPipe(0), () => undefined],
  ['shared, not waiting', openPipe(constants.O_NONBLOCK), () => undefined],
] as const;

describe.each(WAYS)('a terminal that reads slowly, its descriptor %s', (_, pipe, open) => {
  it('gets every byte once, and the writer is told when', async () => {
    const out = new TtyOutput(pipe.near, open);
    const sent = Buffer.from(Array.from({ length: 300_000 }, (_, at) => at % 251));
    let told = 0;
    const written = new Promise<void>((done, fail) => {
      out.write(sent, (error) => {
        told++;
        if (error === undefined) done();
        else fail(error);
      });
    });
    expect(out.isBusy).toBe(true);
    await new Promise((done) => setTimeout(done, 50));
    expect(told).toBe(0);
    const got: Buffer[] = [];
    const reading = setInterval(() => got.push(pipe.read()), 2);
    await written;
    clearInterval(reading);
    for (let piece = pipe.read(); piece.length > 0; piece = pipe.read()) got.push(piece);
    expect(Buffer.concat(got).equals(sent)).toBe(true);
    expect(told).toBe(1);
    expect(out.isBusy).toBe(false);
    out.close();
    out.close();
  });
});

describe('on the way out', () => {
  it('what is being written is cut off, its writer hears nothing, and the last words are sent', async () => {
    const pipe = openPipe(constants.O_NONBLOCK);
    const out = new TtyOutput(pipe.near);
    let told = 0;
    out.write(Buffer.alloc(200_000, 'x'), () => told++);
    while (pipe.read().length > 0);
    out.writeNow('goodbye');
    out.close();
    await new Promise((done) => setTimeout(done, 100));
    expect(pipe.read().toString()).toBe('goodbye');
    expect(told).toBe(0);
  });

  it('a terminal that takes nothing is given up', () => {
    const pipe = openPipe(constants.O_NONBLOCK);
    const out = new TtyOutput(pipe.near);
    out.write(Buffer.alloc(200_000, 'x'), () => {});
    // Returns: that is the test.
    out.writeNow('goodbye');
    out.close();
  });

  it('a terminal that is gone is told by the error of the write', () => {
    const pipe = openPipe(constants.O_NONBLOCK);
    const out = new TtyOutput(pipe.near);
    closeSync(pipe.far);
    let code: string | undefined;
    out.write(Buffer.from('x'), (error) => {
      code = error?.code;
    });
    expect(code).toBe('EPIPE');
    out.writeNow('goodbye');
    out.close();
  });
});
