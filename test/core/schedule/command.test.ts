import { expect, test } from 'vitest';
import { type Command, commandFrom, encodeCommand, Op } from '../../../src/core/schedule/command.ts';

const CASES: readonly [Command, readonly number[]][] = [
  [{ kind: 'play' }, [Op.play, 0, 0]],
  [{ kind: 'loop', fromMicros: 5, toMicros: 7.5 }, [Op.loop, 5, 7.5]],
  [{ kind: 'loop-off' }, [Op.loopOff, 0, 0]],
  [{ kind: 'mute', channel: 9, on: true }, [Op.mute, 9, 1]],
  [{ kind: 'solo', channel: 9, on: false }, [Op.solo, 9, 0]],
  [{ kind: 'channel-transpose', channel: 3, semitones: -12 }, [Op.channelTranspose, 3, -12]],
  [{ kind: 'program-override', channel: 3, program: 0 }, [Op.programOverride, 3, 0]],
  [{ kind: 'program-override', channel: 3, program: undefined }, [Op.programOverride, 3, -1]],
  [{ kind: 'silence-note', channel: 15, key: 127 }, [Op.silenceNote, 15, 127]],
  [{ kind: 'quit' }, [Op.quit, 0, 0]],
];

test.each(CASES)('%j crosses as its number and what it carries', (command, encoded) => {
  expect(encodeCommand(command)).toEqual(encoded);
  expect(commandFrom(encodeCommand(command))).toEqual(command);
});

test('numbers that are no command are none', () => {
  expect(commandFrom([99, 0, 0])).toBeUndefined();
  expect(commandFrom([-1, 0, 0])).toBeUndefined();
  expect(commandFrom([0.5, 0, 0])).toBeUndefined();
  expect(commandFrom([Op.mute, Number.NaN, 1])).toBeUndefined();
});

test('each command has a number of its own', () => {
  const ops = Object.values(Op);
  expect(new Set(ops).size).toBe(ops.length);
  expect(ops).not.toContain(undefined);
});
