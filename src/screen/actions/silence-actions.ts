import { keyName } from '../../core/midi/key-names.ts';
import { type StuckNote, stuckCauseText } from '../../core/observe/stuck-notes.ts';
import type { Action, ActionScene } from './action.ts';

export const SILENCE_ACTIONS = {
  'silence-all': () => ({ commands: [{ kind: 'silence-all' }], say: 'silenced everything', log: true }),
  'silence-lane': (scene) => {
    const channel = scene.count === undefined ? scene.state.lane : scene.count - 1;
    if (channel < 0 || channel > 15) return { say: 'channels go from 1 to 16' };
    return {
      commands: [{ kind: 'silence-channel', channel }],
      say: `silenced channel ${channel + 1}`,
      log: true,
    };
  },
  'silence-note': (scene) => {
    const note = chosenStuckNote(scene);
    if (!note) return { say: 'no note is stuck' };
    return {
      commands: [{ kind: 'silence-note', channel: note.channel, key: note.key }],
      say: `silenced ${keyName(note.key)} on channel ${note.channel + 1}: ${stuckCauseText(note)}`,
      log: true,
      state: { stuckPlace: undefined },
    };
  },
  'stuck-limit': (scene) => {
    const seconds = Math.max(1, scene.count ?? 10);
    return { state: { longMicros: seconds * 1_000_000 }, say: `a note counts as stuck after ${seconds} s` };
  },
} as const satisfies Record<string, Action>;

export function chosenStuckNote(scene: Pick<ActionScene, 'stuck' | 'state'>): StuckNote | undefined {
  const { stuckPlace } = scene.state;
  return scene.stuck.find((note) => note.channel * 128 + note.key === stuckPlace) ?? scene.stuck[0];
}
