import { keyName } from '../../core/midi/key-names.ts';
import { Heard } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { STUCK_CAUSES } from '../../core/observe/stuck-notes.ts';
import { chosenStuckNote } from '../actions/silence-actions.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { ageText } from '../format/moment.ts';
import type { Scene } from '../scene.ts';
import { cleanText } from '../text-cleaning.ts';
import type { Role } from '../theme/roles.ts';

const SAID_MICROS = 4_000_000;
const PORT_HELD_UP = 1;
const PORT_LOST = 2;
const INPUT_GONE = 1;
const INPUT_ENDED = 2;

/** The one line that speaks: the most pressing thing there is to say, or nothing. */
export function paintMessage(grid: CellGrid, area: Area, scene: Scene): void {
  const message = messageOf(scene);
  if (!message || area.height === 0) return;
  drawText(grid, area.x + 1, area.y, message.text, scene.theme.styles[message.role], area.width - 1);
}

/** While listening it is the pass-through's output that can be lost; `port` is the input's name then. */
function lostText({ listen, observed }: Scene, port: string): string {
  if (listen) return 'the output is gone; listening goes on';
  const waits = transportState(observed) === 'paused';
  return `port ${port} is gone; the music ${waits ? 'waits for it' : 'goes on without it'}`;
}

export function messageOf(scene: Scene): { readonly text: string; readonly role: Role } | undefined {
  const { observed, state, nowMicros } = scene;
  const port = cleanText(scene.song.portName);
  if (state.digits !== '')
    return { text: `${state.digits}_  now a key: g goes to bar ${state.digits}`, role: 'strong' };
  const input = scene.listen?.numbers[Heard.inputTrouble];
  if (input === INPUT_GONE) return { text: `${port} is gone; waiting for it`, role: 'bad' };
  if (input === INPUT_ENDED) return { text: `${port} has ended`, role: 'warn' };
  const trouble = observed.numbers[Slot.portTrouble];
  if (trouble === PORT_LOST) return { text: lostText(scene, port), role: 'bad' };
  if (trouble === PORT_HELD_UP) return { text: `port ${port} is full and takes nothing now`, role: 'warn' };
  if (state.said && nowMicros - state.said.atMicros < SAID_MICROS)
    return { text: state.said.text, role: 'text' };
  return stuckMessage(scene);
}

function stuckMessage(scene: Scene): { readonly text: string; readonly role: Role } | undefined {
  const hanging = scene.stuck.filter((note) => note.cause !== 'held-by-pedal');
  const note = hanging.length > 0 ? chosenStuckNote({ stuck: hanging, state: scene.state }) : undefined;
  if (!note) return undefined;
  const more = hanging.length > 1 ? `, ${hanging.length - 1} more` : '';
  const name = `${keyName(note.key)} on ${note.channel + 1}`;
  const text = `! ${name} hangs ${ageText(note.ageMicros)}: x silences, h lists${more}; ${STUCK_CAUSES[note.cause]}`;
  return { text, role: 'stuck' };
}
