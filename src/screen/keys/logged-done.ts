import type { Command } from '../../core/schedule/command.ts';
import type { ActionScene } from '../actions/action.ts';
import { logged } from '../state/log-line.ts';
import type { ScreenState } from '../state/screen-state.ts';

/** A key held down, or pressed again and again to get somewhere, is one deed. */
const ONE_DEED_MICROS = 2_000_000;
/** Commands that steps of one deed send; every other one is told by itself. */
const STEPS: ReadonlySet<Command['kind']> = new Set<Command['kind']>([
  'seek',
  'tempo-scale',
  'transpose',
  'velocity-trim',
  'channel-transpose',
  'program-override',
]);

/** The state with what was just done in its log: of quick steps of one kind on one channel, where they led. */
export function loggedDone(
  text: string,
  command: Command,
  scene: Pick<ActionScene, 'state' | 'observed' | 'song' | 'nowMicros'>,
): ScreenState {
  const { state } = scene;
  const deed = STEPS.has(command.kind)
    ? `${command.kind} ${'channel' in command ? command.channel : ''}`
    : undefined;
  const last = state.log.at(-1);
  const goesOn =
    deed !== undefined && last?.deed === deed && scene.nowMicros - last.atMicros < ONE_DEED_MICROS;
  return logged(goesOn ? { ...state, log: state.log.slice(0, -1) } : state, text, scene, deed);
}
