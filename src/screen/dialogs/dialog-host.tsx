import { type ReactNode, useSyncExternalStore } from 'react';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { LiveBox } from '../ink-frame/live-box.tsx';
import { helpLines } from '../keys/help-lines.ts';
import { fittingHint, type HintPiece, hintOf } from '../keys/key-hint.ts';
import { keyModeOf } from '../keys/key-mode.ts';
import type { Layout } from '../scene/layout.ts';
import type { Scene } from '../scene/scene.ts';
import type { SceneMaker } from '../scene/scene-maker.ts';
import type { Dialog } from '../state/screen-state.ts';
import type { ScreenStore } from '../state/screen-store.ts';
import { dialogArea } from './dialog-area.ts';
import { DialogFrame } from './dialog-frame.tsx';
import { HelpDialog } from './help-dialog.tsx';
import { helpFit } from './help-fit.ts';
import { paintLaneDetail } from './lane-detail-painter.ts';
import { paintLog } from './log-painter.ts';
import { paintSongList } from './song-list-painter.ts';
import { paintStuckList } from './stuck-painter.ts';

type Painted = Exclude<Dialog, 'none' | 'help'>;

/** What each dialog is called and which keys it names; the help overlay is drawn by Ink, the rest are live. */
const TITLES: Readonly<
  Record<Exclude<Dialog, 'none'>, readonly [title: string, hint: readonly HintPiece[]]>
> = {
  help: [
    'keys; N is a number typed before',
    [
      ['esc closes', 'close'],
      ['up, down scroll', 'row-down'],
    ],
  ],
  stuck: [
    'stuck notes',
    [
      ['esc closes', 'close'],
      ['x silences it', 'silence-note', 'x takes it off'],
      ['X its lane', 'silence-lane'],
      ['z everything', 'silence-all'],
      ['up, down choose', 'stuck-down'],
    ],
  ],
  lane: [
    'lane',
    [
      ['esc closes', 'close'],
      ['up, down other lanes', 'lane-down'],
      ['m mute', 'mute'],
      ['s solo', 'solo'],
      ['f as in the file', 'lane-as-written'],
    ],
  ],
  songs: [
    'songs',
    [
      ['esc closes', 'close'],
      ['enter plays', 'open-song'],
      ['up, down choose', 'row-down'],
      ['type to search', 'erase-letter'],
    ],
  ],
  log: [
    'what was done, what happened',
    [
      ['esc closes', 'close'],
      ['up, down scroll', 'row-down'],
    ],
  ],
};

/** Two cells of the rule, a blank before the words and one after. */
const RULE_AND_BLANKS = 4;

const PAINTERS: Readonly<Record<Painted, (grid: CellGrid, area: Area, scene: Scene) => void>> = {
  stuck: paintStuckList,
  lane: paintLaneDetail,
  songs: paintSongList,
  log: paintLog,
};

export interface DialogHostProps {
  readonly layout: Layout;
  readonly store: ScreenStore;
  readonly scenes: SceneMaker;
}

/** The open dialog, if any. */
export function DialogHost({ layout, store, scenes }: DialogHostProps): ReactNode {
  const dialog = useSyncExternalStore(store.subscribe, () => store.get().dialog);
  const row = useSyncExternalStore(store.subscribe, () =>
    store.get().dialog === 'help' ? store.get().row : 0,
  );
  const lane = useSyncExternalStore(store.subscribe, () =>
    store.get().dialog === 'lane' ? store.get().lane : 0,
  );
  if (dialog === 'none') return null;
  const area = dialogArea(layout, dialog);
  const [name, pieces] = TITLES[dialog];
  const mode = keyModeOf(scenes.song);
  const room = area.width - RULE_AND_BLANKS;
  const fit = helpFit(helpLines(scenes.theme.glyphs, mode), area.width, area.height - 2);
  const isMore = dialog === 'help' && row < fit.lastRow;
  if (dialog === 'help') scenes.scroll.lastRow = fit.lastRow;
  const hint = fittingHint([...(isMore ? ['more below'] : []), ...hintOf(pieces, mode)], room);
  const title = dialog === 'lane' ? `channel ${lane + 1}` : name;
  const inside = { width: area.width, height: area.height - 2 };
  return (
    <DialogFrame area={area} title={title} hint={hint} theme={scenes.theme}>
      {dialog === 'help' ? (
        <HelpDialog {...inside} row={row} mode={mode} theme={scenes.theme} />
      ) : (
        <LiveBox {...inside} paint={(grid, box) => PAINTERS[dialog](grid, box, scenes.scene())} />
      )}
    </DialogFrame>
  );
}
