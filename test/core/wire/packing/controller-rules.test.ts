import { expect, test } from 'vitest';
import {
  isGlide,
  isHoldPedal,
  isInert,
  isPlainState,
  pedalsAfter,
} from '../../../../src/core/wire/packing/controller-rules.ts';

/** The controllers, of all 128, for which this is true. */
const controllersThat = (isTrue: (controller: number) => boolean) =>
  Array.from({ length: 128 }, (_, controller) => controller).filter(isTrue);

test('damper, Sostenuto and Hold 2 hold notes', () => {
  expect(controllersThat(isHoldPedal)).toEqual([64, 66, 69]);
});

test('each pedal is up or down for itself: from 64 on it is down (MIDI 1.0, p. 12)', () => {
  const down = pedalsAfter(pedalsAfter(0, 64, 64), 69, 127);
  expect(pedalsAfter(0, 64, 63)).toBe(0);
  expect(pedalsAfter(down, 66, 0)).toBe(down);
  expect(pedalsAfter(down, 1, 127)).toBe(down);
  const damperUp = pedalsAfter(down, 64, 0);
  expect(damperUp).not.toBe(0);
  expect(pedalsAfter(damperUp, 64, 0)).toBe(damperUp);
  expect(pedalsAfter(damperUp, 69, 63)).toBe(0);
});

test('nothing sounding hears bank and parameter numbers, portamento, Soft, Legato and the note prefixes', () => {
  const always = [0, 5, 32, 37, 65, 67, 68, 84, 88, 98, 99, 100, 101];
  expect(controllersThat((controller) => isInert(controller, 0))).toEqual(always);
  const withPedals = [...always, 64, 66, 69].sort((a, b) => a - b);
  expect(controllersThat((controller) => isInert(controller, 64))).toEqual(withPedals);
});

test('the order of notes matters after Mono On and the note prefixes, and while Portamento or Legato is on', () => {
  expect(controllersThat((controller) => isGlide(controller, 63))).toEqual([84, 88, 126]);
  expect(controllersThat((controller) => isGlide(controller, 64))).toEqual([65, 68, 84, 88, 126]);
});

test('a sounding note takes these on at once; none of the others', () => {
  const coarse = [1, 2, 4, 7, 8, 10, 11, 12, 13];
  const fine = coarse.map((controller) => controller + 32);
  const plain = [...coarse, ...fine, 64, 69, 71, 74, 91, 92, 93, 94, 95];
  expect(controllersThat((controller) => isPlainState(0xb3, controller))).toEqual(plain);
  // Of the other messages bend and channel pressure, whatever their data bytes; not 8n, 9n, An and Cn.
  for (const data1 of [0, 1, 7, 64, 127]) {
    const kinds = [0x80, 0x90, 0xa0, 0xc0, 0xd0, 0xe0].filter((kind) => isPlainState(kind | 5, data1));
    expect(kinds).toEqual([0xd0, 0xe0]);
  }
});
