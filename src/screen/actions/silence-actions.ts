import { keyName } from '../../core/midi/key-names.ts';
import { type StuckNote, stuckCauseText } from '../../core/observe/stuck-notes.ts';
import type { Action, ActionScene } from './action.ts';

export const SILENCE_ACTIONS = {
  'silence-all': (scene) => ({
    commands: [{ kind: 'silence-all' }],
    say: silenced(scene, 'everything'),
  }),
  'silence-lane': (scene) => {
    const channel = scene.count === undefined ? scene.state.lane : scene.count - 1;
    if (channel < 0 || channel > 15) return { say: 'channels go from 1 to 16' };
    return {
      commands: [{ kind: 'silence-channel', channel }],
      say: silenced(scene, `channel ${channel + 1}`),
    };
  },
  'silence-note': (scene) => {
    const note = chosenStuckNote(scene);
    if (!note) return { say: 'no note is stuck' };
    return {
      commands: [{ kind: 'silence-note', channel: note.channel, key: note.key }],
      say: silenced(
        scene,
        `${keyName(note.key)} on channel ${note.channel + 1}`,
        `: ${stuckCauseText(note)}`,
      ),
      state: { stuckPlace: undefined },
    };
  },
  'stuck-limit': (scene) => {
    const seconds = Math.max(1, scene.count ?? 10);
    return { state: { longMicros: seconds * 1_000_000 }, say: `a note counts as stuck after ${seconds} s` };
  },
} as const satisfies Record<string, Action>;

/** What was silenced, and why; or that it is only off the list, where there is nowhere to send a silence. */
function silenced({ song }: ActionScene, what: string, why = ''): string {
  return song.isOnlyHeard
    ? `${what} is off the list, not silenced: --thru names a port for that`
    : `silenced ${what}${why}`;
}

export function chosenStuckNote(scene: Pick<ActionScene, 'stuck' | 'state'>): StuckNote | undefined {
  const { stuckPlace } = scene.state;
  return scene.stuck.find((note) => note.channel * 128 + note.key === stuckPlace) ?? scene.stuck[0];
}
