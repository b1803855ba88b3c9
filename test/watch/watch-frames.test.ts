import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { applyPages, ChangedPages } from '../../src/watch/changed-pages.ts';
import { FrameReader, frameOf, MOST_FROM_WATCHER } from '../../src/watch/watch-frames.ts';

describe('frames', () => {
  const frames = fc.array(fc.tuple(fc.nat(255), fc.uint8Array({ maxLength: 300 })), { maxLength: 12 });

  test('come out as they went in, however the stream is cut', () => {
    fc.assert(
      fc.property(frames, fc.array(fc.integer({ min: 1, max: 90 }), { minLength: 1 }), (sent, cuts) => {
        const stream = Buffer.concat(sent.map(([kind, payload]) => frameOf(kind, payload)));
        const reader = new FrameReader(1000);
        const got: [number, number[]][] = [];
        for (let at = 0, n = 0; at < stream.length; n += 1) {
          const piece = stream.subarray(at, at + cuts[n % cuts.length]!);
          at += piece.length;
          for (const { kind, payload } of reader.feed(piece)!) got.push([kind, [...payload]]);
        }
        expect(got).toEqual(sent.map(([kind, payload]) => [kind, [...payload]]));
      }),
    );
  });

  test('one that is empty or longer than allowed ends the reading, and nothing is kept of it', () => {
    const head = (length: number) => {
      const bytes = Buffer.alloc(5);
      bytes.writeUInt32LE(length, 0);
      return bytes;
    };
    expect(new FrameReader(MOST_FROM_WATCHER).feed(head(0))).toBeUndefined();
    expect(new FrameReader(MOST_FROM_WATCHER).feed(head(MOST_FROM_WATCHER + 1))).toBeUndefined();
    expect(new FrameReader(MOST_FROM_WATCHER).feed(head(0xffff_ffff))).toBeUndefined();
    expect(new FrameReader(MOST_FROM_WATCHER).feed(head(MOST_FROM_WATCHER))).toEqual([]);
  });
});

describe('changed pages', () => {
  const changes = fc.array(fc.tuple(fc.nat(2999), fc.nat(255)), { maxLength: 20 });

  test('the picture is the same after each of them, and nothing is sent where nothing changed', () => {
    fc.assert(
      fc.property(fc.array(changes, { minLength: 1, maxLength: 6 }), (rounds) => {
        const [from, to] = [new SharedArrayBuffer(3000), new SharedArrayBuffer(3000)];
        const bytes = new Uint8Array(from);
        bytes[2999] = 7; // there before anybody watched
        const pages = new ChangedPages(from);
        applyPages(pages.take()!, to);
        for (const round of rounds) {
          for (const [place, value] of round) bytes[place] = value;
          const before = Buffer.from(to).toString('hex');
          const taken = pages.take();
          if (taken !== undefined) applyPages(taken, to);
          expect(Buffer.from(to).equals(Buffer.from(from))).toBe(true);
          expect(taken === undefined).toBe(before === Buffer.from(from).toString('hex'));
        }
      }),
    );
  });

  test('one changed byte is one page of 256', () => {
    const from = new SharedArrayBuffer(3000);
    const pages = new ChangedPages(from);
    pages.take();
    new Uint8Array(from)[600] = 1;
    expect(pages.take()!.length).toBe(4 + 256);
    expect(pages.take()).toBeUndefined();
  });

  test('pages that cannot belong there do no harm', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 900 }), (pages) => {
        const into = new SharedArrayBuffer(1000);
        applyPages(pages, into);
        expect(into.byteLength).toBe(1000);
      }),
    );
  });
});
