import fc from 'fast-check';
import { columnsOfRows, type MessageRow } from './columns-of.ts';

const CHANNELS = [0, 1, 9];
const KEYS = [60, 61, 67];
const CONTROLLERS = [
  0, 1, 6, 7, 10, 32, 33, 38, 64, 65, 66, 67, 84, 88, 91, 98, 99, 100, 101, 120, 121, 123, 126,
];

const channel = fc.constantFrom(...CHANNELS);
const key = fc.constantFrom(...KEYS);
const value = fc.constantFrom(0, 1, 63, 64, 127);

const noteOn = fc.tuple(channel, key, fc.integer({ min: 1, max: 127 })).map(([c, k, v]) => [0x90 | c, k, v]);
const noteOff = fc
  .tuple(channel, key, fc.boolean())
  .map(([c, k, zero]) => (zero ? [0x90 | c, k, 0] : [0x80 | c, k, 64]));
const state = fc.oneof(
  fc.tuple(channel, fc.constantFrom(...CONTROLLERS), value).map(([c, n, v]) => [0xb0 | c, n, v]),
  fc.tuple(channel, value).map(([c, v]) => [0xc0 | c, v]),
  fc.tuple(channel, value).map(([c, v]) => [0xd0 | c, v]),
  fc.tuple(channel, value).map(([c, v]) => [0xe0 | c, 0, v]),
  fc.tuple(channel, key, value).map(([c, k, v]) => [0xa0 | c, k, v]),
);
const sysEx = fc.constantFrom(
  [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7],
  [0xf0, 0x7f, 0x7f, 0x04, 0x01, 0x00, 0x40, 0xf7],
  [0xf0, 0x7d, 1, 2, 3, 4, 5, 6, 7, 8, 0xf7],
);

const step = fc.oneof(
  { weight: 8, arbitrary: fc.constant(0) },
  { weight: 4, arbitrary: fc.constantFrom(300, 1000, 5000, 20_000) },
  { weight: 1, arbitrary: fc.constantFrom(100_000, 3_000_000) },
);
const message = fc.oneof(
  { weight: 6, arbitrary: noteOn },
  { weight: 5, arbitrary: noteOff },
  { weight: 6, arbitrary: state },
  { weight: 1, arbitrary: sysEx },
);

/** Columns of songs that are nasty on purpose: few channels and keys, many messages at one moment. */
export const randomColumns = fc.array(fc.tuple(step, message), { maxLength: 60 }).map((steps) => {
  let micros = 0;
  const rows: MessageRow[] = steps.map(([wait, bytes]) => {
    micros += wait;
    return { micros, bytes };
  });
  return columnsOfRows(rows);
});
