import { type FollowedState, followedClock } from '../../core/observe/followed-clock.ts';
import { Slot, type TransportState } from '../../core/observe/observed-state.ts';
import { countInMicros, songPosition, transportState } from '../../core/observe/song-position.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { barBeatText, signedText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';
import type { Role } from '../theme/roles.ts';

/** `voices 128/128` and a space. */
const VOICES_WIDTH = 15;
const WIDTH = 45;

/** Columns of the transport's live part: with words and everything, or the least. */
export function transportWidth(columns: number, showsVoices = false): number {
  return columns < 72 ? 20 : showsVoices ? WIDTH + VOICES_WIDTH : WIDTH;
}

/** State, bar and beat, meter, tempo and its scale, transposition: each in its own place, so nothing jumps. */
export function paintTransport(grid: CellGrid, area: Area, scene: Scene): void {
  const { observed, theme, nowMicros } = scene;
  const { numbers } = observed;
  const state = transportState(observed);
  const position = songPosition(observed, nowMicros);
  const followed = followedClock(observed, nowMicros);
  const scale = followed === undefined ? numbers[Slot.tempoScale] || 1 : 1;
  const transpose = numbers[Slot.transpose]!;
  const roomy = area.width >= 40;
  const isCount = countInMicros(observed, position) > 0;
  const { sign, word, role } = stateOf(state, followed);
  const stateText = `${theme.glyphs.states[sign]}${roomy ? ` ${isCount ? 'count' : word}` : ''}`;
  const pieces: (readonly [string, number, Role])[] = [
    [stateText, roomy ? 10 : 2, role],
    [placeText(scene, position), roomy ? 8 : 7, 'strong'],
    [meterText(scene, position), 6, 'label'],
    [
      followed ? followedText(scene, followed, roomy) : tempoText(scene, position, scale),
      roomy ? 7 : 5,
      'text',
    ],
  ];
  if (scene.voices !== undefined && area.width >= WIDTH + VOICES_WIDTH) {
    const { used, there, free } = scene.voices;
    pieces.unshift([
      `voices ${used}/${there}`,
      VOICES_WIDTH,
      free < 0 ? 'bad' : free === 0 ? 'warn' : 'text',
    ]);
  }
  if (roomy) {
    // What the person has changed stands first, so that the line ends flush when nothing is changed.
    pieces.unshift(
      [transpose === 0 ? '' : `key ${signedText(transpose)}`, 8, 'warn'],
      [scale === 1 ? '' : `${theme.glyphs.times}${scale.toFixed(2)}`, 6, 'warn'],
    );
  }
  let x = area.x;
  for (const [text, width, role] of pieces) {
    // A bar of four digits takes a column of what follows.
    x += Math.max(width, drawText(grid, x, area.y, text, theme.styles[role], area.x + area.width - x) + 1);
  }
}

interface StateWord {
  readonly sign: TransportState;
  readonly word: string;
  readonly role: Role;
}

/** The transport's state; where a clock is followed, that clock's. */
function stateOf(state: TransportState, followed: FollowedState | undefined): StateWord {
  const own: StateWord = { sign: state, word: state, role: state === 'playing' ? 'good' : 'warn' };
  if (followed === undefined || state === 'ended') return own;
  if (followed.state === 'lost') return { sign: state, word: 'lost', role: 'bad' };
  if (followed.isOut) return { sign: 'paused', word: 'paused', role: 'warn' };
  if (followed.state === 'follows') return { ...own, word: 'follows' };
  return { sign: 'paused', word: followed.state === 'armed' ? 'ready' : 'waits', role: 'warn' };
}

/** The tempo of the clock that is followed: no other counts. */
function followedText({ theme }: Scene, { tempo }: FollowedState, roomy: boolean): string {
  const { quarter } = theme.glyphs;
  if (tempo === 0) return `${quarter}?`;
  return `${quarter}${(roomy ? tempo < 1000 : tempo < 100) ? tempo.toFixed(1) : Math.round(tempo)}`;
}

/** Bar and beat; while the music is counted in, wherever it begins, the beats to go: `in 3`. */
function placeText({ observed, song: { timeline } }: Scene, position: number): string {
  const toGo = countInMicros(observed, position);
  if (!timeline || toGo === 0) return barBeatText(timeline, Math.max(0, position));
  const start = position + toGo;
  const { denominator } = timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(start));
  const beatMicros = (timeline.tempoMap.stretchAt(start).microsPerQuarter * 4) / denominator;
  return `in ${Math.ceil(toGo / beatMicros - 1e-6)}`;
}

function meterText(scene: Scene, position: number): string {
  const { timeline } = scene.song;
  if (!timeline || !Number.isFinite(position)) return '';
  const { numerator, denominator } = timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(position));
  return `${numerator}/${denominator}`;
}

/** Quarter notes a minute as they sound: the song's tempo times the scale. */
function tempoText(scene: Scene, position: number, scale: number): string {
  const { timeline } = scene.song;
  if (!timeline) return '';
  const { microsPerQuarter } = timeline.tempoMap.stretchAt(position);
  const beats = (60_000_000 / microsPerQuarter) * scale;
  return `${scene.theme.glyphs.quarter}${beats < 100 ? beats.toFixed(1) : Math.round(beats)}`;
}
