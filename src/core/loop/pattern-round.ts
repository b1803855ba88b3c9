import { chance } from './chance.ts';
import type { LoopPlan, LoopSection, LoopStep } from './loop-plan.ts';

/** Long enough for a rate to a few parts in ten thousand, and for most buffers to run full. */
const BURST_BYTES = 600;
const LONGEST_SYSEX = 1024;
const AT_ONCE_BYTES = 256;
const ALONE = 60;
/** A receiver comes to rest in between, and what came before cannot delay what comes next. */
const BREAK_MICROS = 40_000;
/** A piece is what a port takes in one write. */
const PIECE = 32;
/** So soft that it is heard and hurts nobody. */
const SOFTEST = 1;
const LOUDEST = 24;

/**
 * Controllers without a meaning: 3, 9, 14, 15, 20–31, 85–87, 89, 90, 102–119 (MIDI 1.0 Detailed Specification, table III,
 * from memory; 88 has got one since).
 */
const MEANINGLESS = [
  3, 9, 14, 15, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 31, 85, 86, 87, 89, 90, 102, 103, 110, 119,
];

/**
 * One round of the pattern. What it leaves behind in an instrument: program 1 on all channels; everything else it sets
 * is set to rest, and F6, F1 to F3 and the sample dump handshakes used here ask for nothing and store nothing.
 */
export function patternRound(plan: LoopPlan, round: number): LoopStep[] {
  const draw = chance(round * 7919 + (plan.quiet ? 1 : 0));
  const steps: LoopStep[] = [];
  let section: LoopSection = 'values';
  const add = (bytes: readonly number[], restMicros = 0): void => {
    steps.push({ section, bytes, restMicros });
  };
  const sysEx = (body: readonly number[], restMicros: number, between?: () => number | undefined): void => {
    const whole = [0xf0, ...body, 0xf7];
    for (let at = 0; at < whole.length; at += PIECE) {
      const inside = at > 0 ? between?.() : undefined;
      if (inside !== undefined) add([inside]);
      add(whole.slice(at, at + PIECE), at === 0 ? restMicros : 0);
    }
  };
  const data = (): number => draw(128);
  const channel = (): number => draw(16);
  /** A message that is heard as a soft note; a release without a note where it must be quiet. */
  let held: number[] | undefined;
  const message = (): number[] => {
    if (held !== undefined) {
      const off = held;
      held = undefined;
      return off;
    }
    const kind = draw(4);
    if (kind === 0) return [0xa0 | channel(), data(), 0];
    if (kind === 1) return [0xb0 | channel(), MEANINGLESS[draw(MEANINGLESS.length)]!, data()];
    const on = channel();
    const key = data();
    if (plan.quiet) return [0x80 | on, key, data()];
    held = [0x80 | on, key, data()];
    return [0x90 | on, key, SOFTEST + draw(LOUDEST)];
  };

  // Every value in its place: each status byte, and each data byte behind one.
  for (let number = 0; number < 16; number += 1) {
    const rest = number === 0 ? BREAK_MICROS : 0;
    if (!plan.quiet) add([0x90 | number, 60 + number, SOFTEST + draw(LOUDEST)], rest);
    add([0x80 | number, 60 + number, 64], plan.quiet ? rest : 0);
    add([0xa0 | number, 60 + number, 0]);
    add([0xb0 | number, MEANINGLESS[number]!, data()]);
    add([0xc0 | number, 0]);
    add([0xd0 | number, 0]);
    add([0xe0 | number, 0, 64]);
  }
  add([0xf1, data()]);
  add([0xf2, data(), data()]);
  add([0xf3, data()]);
  add([0xf6]);
  for (const realTime of plan.quiet ? [0xf8, 0xfc, 0xfe] : [0xf8, 0xfa, 0xfb, 0xfc, 0xfe]) add([realTime]);
  if (!plan.whole) for (const undefinedByte of [0xf4, 0xf5, 0xf9, 0xfd]) add([undefinedByte]);
  sysEx([0x7d, ...Array.from({ length: 128 }, (_, value) => value)], 0);

  // One at a time, at odd distances: nothing is in its way, so what passes is the latency.
  section = 'alone';
  for (let count = 0; count < ALONE; count += 1) {
    add([0xa0 | channel(), data(), 0], count === 0 ? BREAK_MICROS : 6000 + draw(6000));
  }

  section = 'full';
  for (let sent = 0; sent < BURST_BYTES || held !== undefined; sent += 3)
    add(message(), sent === 0 ? BREAK_MICROS : 0);

  if (!plan.whole) {
    section = 'running';
    const number = channel();
    const status = (plan.quiet ? 0x80 : 0x90) | number;
    add([status, data(), 0], BREAK_MICROS);
    // With velocity 0 a note-on is a release (MIDI 1.0, p. 10).
    for (let sent = 3; sent < BURST_BYTES; sent += 4) {
      const key = data();
      add([key, plan.quiet ? data() : SOFTEST + draw(LOUDEST)]);
      add([key, 0]);
    }
  }

  section = 'real-time';
  for (let sent = 0; sent < BURST_BYTES || held !== undefined; sent += 4) {
    const bytes = message();
    const inside = draw(3);
    const realTime = draw(8) === 0 ? 0xfe : 0xf8;
    const rest = sent === 0 ? BREAK_MICROS : 0;
    if (plan.whole || inside === 2) {
      add(bytes, rest);
      add([realTime]);
    } else add([...bytes.slice(0, inside + 1), realTime, ...bytes.slice(inside + 1)], rest);
  }

  section = 'sysex';
  sysEx([0x7d, ...Array.from({ length: LONGEST_SYSEX }, data)], BREAK_MICROS);
  sysEx([0x7d, ...Array.from({ length: 300 }, data)], BREAK_MICROS, () => (draw(2) === 0 ? 0xf8 : undefined));
  // Handshakes of a sample dump that nobody has begun: End of File, Wait, Cancel, Not Acknowledged, Acknowledged.
  for (let sub = 0x7b; sub <= 0x7f; sub += 1) sysEx([0x7e, 0x7f, sub, data()], 0);
  sysEx([0x7d], 0);

  section = 'at-once';
  for (let sent = 0; sent < AT_ONCE_BYTES || held !== undefined; sent += 3) {
    add(message(), sent === 0 ? BREAK_MICROS : 0);
  }

  section = 'end';
  add([0xff], BREAK_MICROS);
  return steps;
}
