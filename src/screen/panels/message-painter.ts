import { keyName } from '../../core/midi/key-names.ts';
import { Heard } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { PortTrouble } from '../../core/observe/port-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { STUCK_CAUSES } from '../../core/observe/stuck-notes.ts';
import { chosenStuckNote } from '../actions/silence-actions.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText, textWidth } from '../cells/draw-text.ts';
import { ageText } from '../format/moment.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { wrappedLines } from '../format/wrapped-lines.ts';
import type { Scene } from '../scene/scene.ts';
import { clockWords } from '../state/clock-words.ts';
import type { KeyRole } from '../state/key-role.ts';
import { troubledPorts } from '../state/troubled-ports.ts';
import type { Role } from '../theme/roles.ts';

const SAID_MICROS = 4_000_000;
const INPUT_GONE = 1;
const INPUT_ENDED = 2;

/** A word to the person, in ever fewer words for ever less room. */
export interface Message {
  readonly texts: readonly [string, ...string[]];
  readonly role: Role;
}

/** The one line that speaks: the most pressing thing there is to say, or nothing. */
export function paintMessage(grid: CellGrid, area: Area, scene: Scene, message = messageOf(scene)): void {
  if (!message || area.height === 0) return;
  const width = area.width - 1;
  const style = scene.theme.styles[message.role];
  const { texts } = message;
  const rows = wrappedLines(texts[0], width);
  if (rows.length > 1 && rows.length <= area.height) {
    for (const [at, row] of rows.entries()) drawText(grid, area.x + 1, area.y + at, row, style, width);
    return;
  }
  const text = texts.find((each) => textWidth(each) <= width) ?? texts.at(-1)!;
  drawText(grid, area.x + 1, area.y, text, style, width);
}

/** While listening it is the pass-through's output that can be lost; `port` is the input's name then. */
function lostTexts({ listen, observed, song }: Scene): Message['texts'] {
  if (listen) return ['the output is gone; listening goes on'];
  const waits = transportState(observed) === 'paused';
  const { words, are, them } = troubledPorts(observed, song, PortTrouble.lost);
  const is = `${words} ${are} gone`;
  return [`${is}; the music ${waits ? 'waits for' : 'goes on without'} ${them}`, is];
}

function heldUpTexts({ listen, observed, song }: Scene): Message['texts'] {
  if (listen) return ['the output is full and takes nothing now', 'the output is full'];
  const { words, are, take } = troubledPorts(observed, song, PortTrouble.heldUp);
  return [`${words} ${are} full and ${take} nothing now`, `${words} ${are} full`];
}

export function messageOf(scene: Scene): Message | undefined {
  const { alarm } = scene.state;
  return (
    wordOf(scene) ??
    stuckMessage(scene) ??
    clockMessage(scene, false) ??
    (alarm === undefined ? undefined : { texts: [alarm], role: 'bad' })
  );
}

/** The same without the notes that hang, which would be told for as long as they do. */
export function wordOf(scene: Scene): Message | undefined {
  const { observed, state, nowMicros } = scene;
  const port = cleanText(scene.song.portName);
  if (state.digits !== '') {
    return { texts: [`${state.digits}_  now a key${numberUse(scene)}`], role: 'strong' };
  }
  const input = scene.listen?.numbers[Heard.inputTrouble];
  if (input === INPUT_GONE) return { texts: [`${port} is gone; waiting for it`], role: 'bad' };
  if (input === INPUT_ENDED) return { texts: [`${port} has ended`], role: 'warn' };
  const trouble = observed.numbers[Slot.portTrouble];
  if (trouble === PortTrouble.lost) return { texts: lostTexts(scene), role: 'bad' };
  if (trouble === PortTrouble.heldUp) return { texts: heldUpTexts(scene), role: 'warn' };
  const clock = clockMessage(scene, true);
  if (clock !== undefined) return clock;
  if (state.said && nowMicros - state.said.atMicros < SAID_MICROS)
    return { texts: [state.said.text], role: 'text' };
  return undefined;
}

/** What is to be said of a clock that is followed: first what is missing, and only for want of others what is waited for. */
function clockMessage({ observed, song, nowMicros }: Scene, isTrouble: boolean): Message | undefined {
  const words = clockWords(observed, song.follows, nowMicros);
  if (words?.isTrouble !== isTrouble) return undefined;
  return { texts: words.texts, role: isTrouble ? 'bad' : 'text' };
}

/** What a typed number may be for. */
function numberUse({ song, state: { digits } }: Scene): string {
  if (song.timeline) return `: g goes to bar ${digits}`;
  return Number(digits) <= 16 ? `: c goes to lane ${digits}` : '';
}

/** What those do who have not every key. */
const FOR_ROLE: Readonly<Record<KeyRole, string>> = { visitor: ': z silences', onlooker: ': h lists' };

/** What is left out first where room is short: why, then how many more and the list, then what the key does. */
function stuckMessage(scene: Scene): Message | undefined {
  const stuckNotes = scene.stuck.filter((note) => note.cause !== 'held-by-pedal');
  const note = stuckNotes.length > 0 ? chosenStuckNote({ stuck: stuckNotes, state: scene.state }) : undefined;
  if (!note) return undefined;
  const more = stuckNotes.length > 1 ? `, ${stuckNotes.length - 1} more` : '';
  const name = `${keyName(note.key)} on ${note.channel + 1}`;
  const hangs = `! ${name} hangs ${ageText(note.ageMicros)}`;
  const { keyRole, isOnlyHeard } = scene.song;
  if (keyRole !== undefined) return { texts: [`${hangs}${FOR_ROLE[keyRole]}`, hangs], role: 'stuck' };
  const x = isOnlyHeard ? 'x takes it off the list' : 'x silences';
  const short = `${hangs}: ${x}`;
  return {
    texts: [
      `${short}, h lists${more}; ${STUCK_CAUSES[note.cause]}`,
      `${short}, h lists${more}`,
      short,
      hangs,
    ],
    role: 'stuck',
  };
}
