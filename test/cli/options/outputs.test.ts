import { expect, test } from 'vitest';
import { outputsOf, seatsOf } from '../../../src/cli/options/outputs.ts';
import { fetchInstruments } from '../../../src/profile/instrument-shelf.ts';

test('a port that the map names twice keeps its instrument, for playing and for checking alike', async () => {
  await fetchInstruments(['lindwurm-eight']);
  const map = '1-4=a@lindwurm-eight,9=a,10=b';
  const outputs = outputsOf(['a=mock', 'b=mock'], map);
  const seats = seatsOf([], map, undefined);
  expect(seats.map(({ port, instrumentName }) => [port, instrumentName])).toEqual([
    ['a', 'lindwurm-eight'],
    ['b', undefined],
  ]);
  expect(seats.map(({ channels }) => channels)).toEqual(outputs.map(({ channels }) => channels));
  expect(seats[0]!.instrument).toBe(outputs[0]!.instrument);
});

test('one port takes every channel, with or without a map', () => {
  expect(outputsOf(['mock'], undefined)).toEqual([{ port: 'mock' }]);
  expect(outputsOf(['mock'], '1=1')).toEqual([{ port: 'mock' }]);
  expect(seatsOf([], '1=1', undefined)[0]!.channels).toHaveLength(16);
});
