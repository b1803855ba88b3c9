import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { latenessFileFrom } from '../../../src/engine/watch/lateness-file.ts';
import { bucketMicros, LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

describe('the histogram of lateness', () => {
  test('each lies between the edges of its bucket: a microsecond wide, sixteen further on, the last without end', () => {
    const micros = fc.oneof(
      fc.integer({ min: -5, max: 5000 }),
      fc.integer({ min: 0, max: 80_000 }),
      fc.nat(4e9),
    );
    fc.assert(
      fc.property(fc.array(micros, { minLength: 1, maxLength: 30 }), (all) => {
        const log = new LatenessLog();
        const reader = new LatenessLog(log.buffer);
        for (const late of all) log.add(Float64Array.of(late));
        expect(reader.worstMicros()).toBe(Math.max(0, ...all));
        const counts = reader.counts();
        expect(counts.reduce((sum, count) => sum + count)).toBe(all.length);
        for (const late of all.map((one) => Math.max(0, one))) {
          const bucket = counts.findIndex(
            (count, at) =>
              count > 0 &&
              bucketMicros(at) <= late &&
              (at === counts.length - 1 || late < bucketMicros(at + 1)),
          );
          expect(bucket).toBeGreaterThanOrEqual(0);
          counts[bucket]! -= 1;
        }
        log.clear();
        expect([reader.worstMicros(), Math.max(...reader.counts())]).toEqual([0, 0]);
      }),
    );
  });

  test('edges', () => {
    expect([0, 1, 4095, 4096, 4097, 8191].map(bucketMicros)).toEqual([
      0,
      1,
      4095,
      4096,
      4112,
      4096 + 4095 * 16,
    ]);
    const log = new LatenessLog();
    for (const late of [4095.9, 4096, 4111.9, 4112, 4096 + 4095 * 16, 1e12]) log.add(Float64Array.of(late));
    const counts = log.counts();
    expect([counts[4095], counts[4096], counts[4097], counts[8191], counts.length]).toEqual([
      1, 2, 1, 2, 8192,
    ]);
    expect(log.worstMicros()).toBe(4e9);
  });
});

describe('where a run is to leave its lateness', () => {
  test.each([
    ['late.json', 'late.json', 0],
    ['late.json:250', 'late.json', 250_000],
    ['a:b:7', 'a:b', 7000],
    ['a:b', 'a:b', 0],
  ])('%s', (wanted, name, fromMicros) => {
    const folder = tempFolder('lateness');
    const file = latenessFileFrom(join(folder, wanted))!;
    expect(file.fromMicros).toBe(fromMicros);
    for (const late of [3, 3, 9000]) file.log.add(Float64Array.of(late));
    file.visits.add(Float64Array.of(5));
    file.write();
    const figures = JSON.parse(readFileSync(join(folder, name), 'utf8'));
    expect([
      figures.counts[3],
      figures.worstMicros,
      figures.visits.counts[5],
      figures.visits.worstMicros,
    ]).toEqual([2, 9000, 1, 5]);
  });

  test('nowhere, or where it cannot be: no word', () => {
    expect([latenessFileFrom(undefined), latenessFileFrom('')]).toEqual([undefined, undefined]);
    latenessFileFrom('/nowhere/late.json')!.write();
  });
});
