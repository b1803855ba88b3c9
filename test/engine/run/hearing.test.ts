import { expect, test } from 'vitest';
import { ClockInput } from '../../../src/core/follow/follow-state.ts';
import { VisitorInput } from '../../../src/core/schedule/visitor.ts';
import type { Visits } from '../../../src/core/schedule/visits.ts';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { ScriptedInput } from '../../../src/engine/input/scripted-input.ts';
import type { ClockFollowing } from '../../../src/engine/run/clock-following.ts';
import { Hearing } from '../../../src/engine/run/hearing.ts';

/** Two listeners that write down what they are told. */
function listeners() {
  const told: string[] = [];
  const visits = {
    bytes: (bytes: Uint8Array, count: number, at: Float64Array) =>
      told.push(`visitor ${[...bytes.subarray(0, count)]} at ${at[0]}`),
    cut: () => told.push('visitor cut'),
    input: (input: number) => told.push(`visitor is ${input}`),
  };
  const following = {
    heard: (bytes: Uint8Array, at: Float64Array) => told.push(`clock ${bytes[0]} at ${at[0]}`),
    cut: () => told.push('clock cut'),
    isNow: (input: number) => told.push(`clock is ${input}`),
    look: () => told.push('look'),
    nextLook: (wake: Float64Array) => {
      wake[0] = Math.min(wake[0]!, 70);
    },
  };
  return {
    told,
    visits: visits as unknown as Visits,
    following: following as unknown as ClockFollowing,
  };
}

function everything(): ScriptedInput {
  const feed = new ScriptedInput();
  feed.tell(10, Fed.back);
  feed.add(10, Uint8Array.of(0xf8));
  feed.tell(20, Fed.cut);
  feed.add(30, Uint8Array.of(0x90, 60, 1));
  feed.tell(40, Fed.lost);
  feed.tell(50, Fed.ended);
  return feed;
}

const VISITOR = [
  `visitor is ${VisitorInput.there}`,
  'visitor 248 at 10',
  'visitor cut',
  'visitor 144,60,1 at 30',
  `visitor is ${VisitorInput.gone}`,
  `visitor is ${VisitorInput.ended}`,
];
const CLOCK = [
  `clock is ${ClockInput.there}`,
  'clock 248 at 10',
  'clock cut',
  'clock 144 at 30',
  `clock is ${ClockInput.lost}`,
  `clock is ${ClockInput.ended}`,
];

test.each([
  ['whoever plays along', false, true, VISITOR],
  ['a clock', true, false, CLOCK],
  ['both, people first', true, true, VISITOR.flatMap((one, n) => [one, CLOCK[n]!])],
])('everything that comes is for %s', (_, clock, visitor, meant) => {
  const { told, visits, following } = listeners();
  new Hearing([{ feed: everything(), clock, visitor }], visits, following).hear(Float64Array.of(100));
  expect(told).toEqual([...meant, 'look']);
});

test('only what is there by now is taken, and the next is woken for', () => {
  const { told, visits, following } = listeners();
  const hearing = new Hearing([{ feed: everything(), clock: false, visitor: true }], visits, following);
  hearing.hear(Float64Array.of(19));
  expect(told).toEqual([...VISITOR.slice(0, 2), 'look']);
  const wake = Float64Array.of(Number.POSITIVE_INFINITY);
  hearing.next(wake);
  expect(wake[0]).toBe(20);
  hearing.hear(Float64Array.of(60));
  wake[0] = Number.POSITIVE_INFINITY;
  hearing.next(wake);
  expect(wake[0]).toBe(70); // the clock's own
});

test('a run is told how its inputs are as it begins, unless nothing is known yet', () => {
  const [known, unknown] = [everything(), everything()];
  while (known.take(Float64Array.of(40)) !== Fed.nothing);
  const { told, visits, following } = listeners();
  const ears = [
    { feed: unknown, clock: true, visitor: false },
    { feed: known, clock: false, visitor: true },
  ];
  new Hearing(ears, visits, following).begin();
  expect(told).toEqual([`visitor is ${VisitorInput.gone}`]);
});
