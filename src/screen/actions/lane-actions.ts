import { NEVER_SEEN } from '../../core/observe/observed-state.ts';
import type { Command } from '../../core/schedule/command.ts';
import { signedText } from '../format/moment.ts';
import type { Action, ActionResult, ActionScene } from './action.ts';

const TRIM_STEP = 5;
const TRIM_MOST = 127;
const TRANSPOSE_MOST = 24;

export const LANE_ACTIONS = {
  'lane-up': (scene) => ({ state: { lane: (scene.state.lane + 16 - ((scene.count ?? 1) % 16)) % 16 } }),
  'lane-down': (scene) => ({ state: { lane: (scene.state.lane + (scene.count ?? 1)) % 16 } }),
  'choose-lane': (scene) => {
    const channel = namedLane(scene);
    return channel === undefined ? NO_LANE : { state: { lane: channel } };
  },
  mute: (scene) => {
    const channel = namedLane(scene);
    if (channel === undefined) return NO_LANE;
    const on = scene.observed.muted[channel] === 0;
    return {
      commands: [{ kind: 'mute', channel, on }],
      say: `channel ${channel + 1} ${on ? 'muted' : 'unmuted'}`,
    };
  },
  solo: (scene) => {
    const channel = namedLane(scene);
    if (channel === undefined) return NO_LANE;
    const on = scene.observed.soloed[channel] === 0;
    return {
      commands: [{ kind: 'solo', channel, on }],
      say: `channel ${channel + 1} solo ${on ? 'on' : 'off'}`,
    };
  },
  'all-heard': ({ observed }) => {
    const commands: Command[] = [];
    for (let channel = 0; channel < 16; channel += 1) {
      if (observed.muted[channel]) commands.push({ kind: 'mute', channel, on: false });
      if (observed.soloed[channel]) commands.push({ kind: 'solo', channel, on: false });
    }
    return { commands, say: 'no mutes, no solos' };
  },
  softer: (scene) => trim(scene, -(scene.count ?? TRIM_STEP)),
  louder: (scene) => trim(scene, scene.count ?? TRIM_STEP),
  'lane-down-semitone': (scene) => shiftLane(scene, -(scene.count ?? 1)),
  'lane-up-semitone': (scene) => shiftLane(scene, scene.count ?? 1),
  'program-next': (scene) =>
    override(scene, scene.count !== undefined ? scene.count - 1 : program(scene) + 1),
  'program-last': (scene) =>
    override(scene, scene.count !== undefined ? scene.count - 1 : program(scene) - 1),
  'lane-as-written': ({ state: { lane: channel } }) => ({
    commands: [
      { kind: 'velocity-trim', channel, amount: 0 },
      { kind: 'channel-transpose', channel, semitones: 0 },
      { kind: 'program-override', channel, program: undefined },
    ],
    say: `channel ${channel + 1} as the song has it`,
  }),
} as const satisfies Record<string, Action>;

const NO_LANE: ActionResult = { say: 'channels go from 1 to 16' };

/** The lane whose number was typed, or the chosen one. */
function namedLane(scene: ActionScene): number | undefined {
  if (scene.count === undefined) return scene.state.lane;
  return scene.count >= 1 && scene.count <= 16 ? scene.count - 1 : undefined;
}

function trim(scene: ActionScene, change: number): ActionResult {
  const channel = scene.state.lane;
  const amount = clamp(scene.observed.velocityTrim[channel]! + change, TRIM_MOST);
  return {
    commands: [{ kind: 'velocity-trim', channel, amount }],
    say: `channel ${channel + 1} velocity ${signedText(amount)}`,
  };
}

function shiftLane(scene: ActionScene, change: number): ActionResult {
  const channel = scene.state.lane;
  const semitones = clamp(scene.observed.channelTranspose[channel]! + change, TRANSPOSE_MOST);
  return {
    commands: [{ kind: 'channel-transpose', channel, semitones }],
    say: `channel ${channel + 1} transpose ${signedText(semitones)}`,
  };
}

function program(scene: ActionScene): number {
  const { observed, state } = scene;
  const own = observed.programOverride[state.lane]!;
  if (own >= 0) return own;
  const seen = observed.program[state.lane]!;
  return seen === NEVER_SEEN ? 0 : seen;
}

function override(scene: ActionScene, wanted: number): ActionResult {
  if (scene.count !== undefined && (wanted < 0 || wanted > 127)) return { say: 'programs go from 1 to 128' };
  const channel = scene.state.lane;
  const number = ((wanted % 128) + 128) % 128;
  return {
    commands: [{ kind: 'program-override', channel, program: number }],
    say: `channel ${channel + 1} program ${number + 1}`,
  };
}

function clamp(value: number, most: number): number {
  return Math.min(most, Math.max(-most, value));
}
