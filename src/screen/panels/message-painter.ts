import { keyName } from '../../core/midi/key-names.ts';
import { Heard } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { PortTrouble } from '../../core/observe/port-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { STUCK_CAUSES } from '../../core/observe/stuck-notes.ts';
import { chosenStuckNote } from '../actions/silence-actions.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { ageText } from '../format/moment.ts';
import { cleanText } from '../format/text-cleaning.ts';
import type { Scene } from '../scene/scene.ts';
import { troubledPorts } from '../state/troubled-ports.ts';
import type { Role } from '../theme/roles.ts';

const SAID_MICROS = 4_000_000;
const INPUT_GONE = 1;
const INPUT_ENDED = 2;

/** The one line that speaks: the most pressing thing there is to say, or nothing. */
export function paintMessage(grid: CellGrid, area: Area, scene: Scene): void {
  const message = messageOf(scene);
  if (!message || area.height === 0) return;
  drawText(grid, area.x + 1, area.y, message.text, scene.theme.styles[message.role], area.width - 1);
}

/** While listening it is the pass-through's output that can be lost; `port` is the input's name then. */
function lostText({ listen, observed, song }: Scene): string {
  if (listen) return 'the output is gone; listening goes on';
  const waits = transportState(observed) === 'paused';
  const { words, are, them } = troubledPorts(observed, song, PortTrouble.lost);
  return `${words} ${are} gone; the music ${waits ? 'waits for' : 'goes on without'} ${them}`;
}

function heldUpText({ listen, observed, song }: Scene): string {
  if (listen) return 'the output is full and takes nothing now';
  const { words, are, take } = troubledPorts(observed, song, PortTrouble.heldUp);
  return `${words} ${are} full and ${take} nothing now`;
}

export function messageOf(scene: Scene): { readonly text: string; readonly role: Role } | undefined {
  const { observed, state, nowMicros } = scene;
  const port = cleanText(scene.song.portName);
  if (state.digits !== '') return { text: `${state.digits}_  now a key${numberUse(scene)}`, role: 'strong' };
  const input = scene.listen?.numbers[Heard.inputTrouble];
  if (input === INPUT_GONE) return { text: `${port} is gone; waiting for it`, role: 'bad' };
  if (input === INPUT_ENDED) return { text: `${port} has ended`, role: 'warn' };
  const trouble = observed.numbers[Slot.portTrouble];
  if (trouble === PortTrouble.lost) return { text: lostText(scene), role: 'bad' };
  if (trouble === PortTrouble.heldUp) return { text: heldUpText(scene), role: 'warn' };
  if (state.said && nowMicros - state.said.atMicros < SAID_MICROS)
    return { text: state.said.text, role: 'text' };
  return stuckMessage(scene) ?? (state.alarm === undefined ? undefined : { text: state.alarm, role: 'bad' });
}

/** What a typed number may be for. */
function numberUse({ song, state: { digits } }: Scene): string {
  if (song.timeline) return `: g goes to bar ${digits}`;
  return Number(digits) <= 16 ? `: c goes to lane ${digits}` : '';
}

function stuckMessage(scene: Scene): { readonly text: string; readonly role: Role } | undefined {
  const stuckNotes = scene.stuck.filter((note) => note.cause !== 'held-by-pedal');
  const note = stuckNotes.length > 0 ? chosenStuckNote({ stuck: stuckNotes, state: scene.state }) : undefined;
  if (!note) return undefined;
  const more = stuckNotes.length > 1 ? `, ${stuckNotes.length - 1} more` : '';
  const name = `${keyName(note.key)} on ${note.channel + 1}`;
  const text = `! ${name} hangs ${ageText(note.ageMicros)}: x silences, h lists${more}; ${STUCK_CAUSES[note.cause]}`;
  return { text, role: 'stuck' };
}
