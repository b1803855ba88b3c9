import { describe, expect, test } from 'vitest';
import type { Outlet } from '../../../src/core/schedule/outlet.ts';
import { TIME_COUNT, Time } from '../../../src/core/schedule/scheduler-times.ts';
import { Sender } from '../../../src/core/schedule/sender.ts';
import { liftPedals, Silence, silence } from '../../../src/core/schedule/silence.ts';
import { Sounding } from '../../../src/core/schedule/sounding.ts';
import { NO_SYSEX } from '../../../src/core/schedule/sysex-catalogue.ts';
import type { Visitor } from '../../../src/core/schedule/visitor.ts';
import { hex, toHex } from '../../support/hex.ts';
import { timelineOf } from '../../support/timeline-of.ts';

/** Strikes that no port has taken yet, as [channel, key] each: what an outlet gives back. */
type Waiting = readonly (readonly [channel: number, key: number])[];

function rig(messages: string, waiting: Waiting = []) {
  const sent: string[] = [];
  const moments: number[][] = [];
  const asked: number[] = [];
  const outlet: Outlet = {
    message: (status, data1, data2, at) => {
      sent.push(toHex((status & 0xe0) === 0xc0 ? [status, data1] : [status, data1, data2]));
      moments.push([...at]);
    },
    payload() {},
    withdraw: (channels, unstruck) => {
      asked.push(channels);
      for (const [channel, key] of waiting)
        if ((channels >> channel) & 1) unstruck[channel * 128 + key]! += 1;
      waiting = [];
    },
    dropOthers() {},
    heldBack() {},
    wireFree() {},
  };
  const times = new Float64Array(TIME_COUNT);
  const sender = new Sender(outlet, timelineOf([]), NO_SYSEX, times);
  const sounding = new Sounding(Uint8Array.of(0x90));
  for (const one of messages.split('|')) {
    const [status = 0, data1 = 0, data2 = 0] = hex(one);
    sender.message(status, data1, data2);
    if ((status & 0xf0) === 0x90) sounding.strikeKey(status & 15, data1);
  }
  sent.length = 0;
  moments.length = 0;
  const hush = (depth: number, channels = 0xffff) => {
    times[Time.now] = 5000;
    silence(sender, sounding, channels, depth);
    return sent.splice(0);
  };
  return { hush, sender, sounding, moments, asked, sent };
}

/** Two strikes of one key, both sorts of pedal, a bend; a bend that is home; a last key of a last channel. */
const SOUND =
  '90 3C 01 | 90 3C 01 | B0 40 7F | B0 42 00 | E0 00 50 | E5 00 40 | 9F 7F 01 | BF 45 01 | BF 43 05';
const NOTES_1 = ['80 3C 40', '80 3C 40', 'B0 40 00'];
const NOTES_16 = ['8F 7F 40', 'BF 43 00', 'BF 45 00'];
const ON = [0, 5, 15];
const CHANNELS = (1 << 0) | (1 << 5) | (1 << 15);
const each = (controller: string) => ON.map((channel) => `B${toHex([channel])[1]} ${controller} 00`);

describe('how far a silence goes (MIDI 1.0, p. 24, 31 and A-4)', () => {
  test.each<[keyof typeof Silence, string[]]>([
    ['turn', [...NOTES_1, ...NOTES_16]],
    ['brief', [...NOTES_1, ...NOTES_16]],
    ['end', [...NOTES_1, ...NOTES_16, 'E0 00 40', ...each('7B')]],
    ['rest', [...NOTES_1, ...NOTES_16, 'E0 00 40', ...each('7B')]],
    [
      'full',
      [...NOTES_1, ...NOTES_16, 'E0 00 40', ...ON.flatMap((_, n) => [each('7B')[n]!, each('78')[n]!])],
    ],
    ['soundOff', [...NOTES_1.slice(0, 2), NOTES_16[0]!, ...each('78')]],
  ])('%s', (depth, bytes) => {
    const { hush, moments, asked } = rig(SOUND);
    expect(hush(Silence[depth], CHANNELS)).toEqual(bytes);
    expect(moments[0]).toEqual([5000, -1, 5000]);
    // What waits for the wire is taken back where it is not to be heard any more.
    expect(asked).toEqual(['brief', 'rest', 'full'].includes(depth) ? [CHANNELS] : []);
    // What is silent is not silenced again, but for what a receiver is told each time.
    expect(hush(Silence[depth], CHANNELS)).toEqual(bytes.filter((one) => /^B. 7[8B]/.test(one)));
  });

  test('only of the channels that are meant', () => {
    expect(rig(SOUND).hush(Silence.rest, 1 << 15)).toEqual([...NOTES_16, 'BF 7B 00']);
    expect(rig(SOUND).hush(Silence.full, 1 << 9)).toEqual(['B9 7B 00', 'B9 78 00']);
    expect(rig(SOUND).hush(Silence.full, 0)).toEqual([]);
  });
});

describe('what no port has taken yet', () => {
  test('was never struck: no note-off is owed for it', () => {
    expect(rig(SOUND, [[0, 60]]).hush(Silence.brief)).toEqual([NOTES_1[0], NOTES_1[2], ...NOTES_16]);
    expect(
      rig(SOUND, [
        [0, 60],
        [0, 60],
        [15, 127],
      ]).hush(Silence.brief),
    ).toEqual([NOTES_1[2], ...NOTES_16.slice(1)]);
    expect(rig(SOUND, [[15, 127]]).hush(Silence.brief, 1)).toEqual(NOTES_1);
  });

  test('…and is asked for anew each time', () => {
    const { hush, sounding } = rig('90 3C 01', [[0, 60]]);
    expect(hush(Silence.brief)).toEqual([]);
    // The port has taken this one.
    sounding.strikeKey(0, 60);
    expect(hush(Silence.brief)).toEqual(['80 3C 40']);
    expect(sounding.onChannel[0]).toBe(0);
  });

  test('the song’s own note-off for it goes nowhere', () => {
    const { hush, sounding } = rig('90 3D 01');
    const one = rig('91 3C 01', [[0, 60]]);
    one.sounding.strike(0, 0, 60);
    one.hush(Silence.brief, 1);
    expect(one.sounding.release(0, 0)).toBe(-1);
    sounding.strike(0, 0, 60);
    hush(Silence.turn, 1);
    expect(sounding.release(0, 0)).toBe(-1);
  });
});

test('whoever plays along lets go too; at a loop’s turn they notice nothing on a channel of their own', () => {
  const told = (depth: number) => {
    const { hush, sender } = rig('91 3C 01 | 92 3C 01');
    const released: number[] = [];
    const visitor = { own: 1 << 2, release: (channels: number) => released.push(channels) };
    sender.visitor = visitor as unknown as Visitor;
    return [hush(depth, 0b110), released];
  };
  expect(told(Silence.turn)).toEqual([['81 3C 40'], []]);
  expect(told(Silence.brief)).toEqual([['81 3C 40', '82 3C 40'], [0b110]]);
  for (const depth of [Silence.end, Silence.rest, Silence.full, Silence.soundOff])
    expect(told(depth)[1]).toEqual([0b110]);
});

test('pedals alone: those that are down, of one channel', () => {
  const { sender, sent } = rig('B3 40 01 | B3 42 7F | B3 43 00 | B3 45 40 | B4 40 7F');
  liftPedals(sender, 3);
  expect(sent.splice(0)).toEqual(['B3 40 00', 'B3 42 00', 'B3 45 00']);
  liftPedals(sender, 3);
  liftPedals(sender, 9);
  expect(sent).toEqual([]);
});
