import type { Area } from './cells/area.ts';
import type { CellGrid } from './cells/cell-grid.ts';
import { headText } from './format/head-text.ts';
import { cleanText } from './format/text-cleaning.ts';
import { wrappedLines } from './format/wrapped-lines.ts';
import { laneHeadings } from './lanes/lane-headings.ts';
import { paintLanes } from './lanes/lane-painter.ts';
import { pointLanes } from './lanes/lane-point.ts';
import { paintLarge } from './large/large-painter.ts';
import { paintHeard, paintLatestFault, paintSender } from './listen/listen-painter.ts';
import { paintHint } from './panels/hint-painter.ts';
import { paintLyrics } from './panels/lyrics-painter.ts';
import { paintMarkers } from './panels/marker-painter.ts';
import { paintMessage } from './panels/message-painter.ts';
import { paintNotebook } from './panels/notebook-painter.ts';
import { paintPosition } from './panels/position-painter.ts';
import { pointPosition } from './panels/position-point.ts';
import { paintTransport, transportWidth } from './panels/transport-painter.ts';
import { paintWire } from './panels/wire-painter.ts';
import type { PointTarget } from './pointer/pointed.ts';
import { type Layout, layoutFor, SMALLEST } from './scene/layout.ts';
import type { Scene } from './scene/scene.ts';
import type { SongView } from './state/song-view.ts';
import type { Theme } from './theme/theme.ts';

export type ScenePainter = (grid: CellGrid, area: Area, scene: Scene) => void;

/** What fills an area of the screen below the dialogs. `area` has at least one cell. */
export type ScreenPart =
  /** What moves, and what a click in it means. */
  | { readonly area: Area; readonly paint: ScenePainter; readonly point?: PointTarget }
  /** What stands still: one line, clean, no wider than the area. */
  | { readonly area: Area; readonly text: string; readonly style: number };

/** The parts of a screen of a given size, which do not overlap. Ink draws them, and the opening without Ink. */
export function screenParts(
  columns: number,
  rows: number,
  song: SongView,
  theme: Theme,
  isLarge = false,
): ScreenPart[] {
  const layout = layoutFor(columns, rows);
  const parts =
    layout === undefined
      ? tooSmall(columns, rows, theme)
      : isLarge
        ? largeView(layout)
        : lanesAndPanels(layout, song, theme);
  return parts.filter(({ area }) => area.width > 0 && area.height > 0);
}

function lanesAndPanels(layout: Layout, song: SongView, { styles, glyphs }: Theme): ScreenPart[] {
  const { columns, title, headings, message, hint } = layout;
  const isListening = song.timeline === undefined;
  const hasLyrics = (song.timeline?.lyrics.length ?? 0) > 0;
  const right = transportWidth(columns, song.knowsInstrument && !isListening);
  const name = { ...title, x: 1, width: columns - right - 2 };
  const words = cleanText(song.title) || cleanText(song.fileName);
  return [
    { area: name, text: headText(words, name.width, glyphs.ellipsis), style: styles.strong },
    {
      area: { ...title, x: columns - right, width: right },
      paint: isListening ? paintSender : paintTransport,
    },
    isListening
      ? { area: layout.position, paint: paintHeard }
      : { area: layout.position, paint: paintPosition, point: pointPosition },
    { area: layout.markers, paint: isListening ? paintLatestFault : paintMarkers },
    hasLyrics
      ? { area: headings, paint: paintLyrics }
      : { area: headings, text: laneHeadings(columns), style: styles.faint },
    {
      area: layout.lanes,
      paint: (grid, area, scene) => paintLanes(grid, area, scene, layout.bands, layout.laneRows),
      point: (area, mouse) => pointLanes(area, mouse, layout.bands, layout.laneRows),
    },
    { area: layout.wire, paint: paintWire },
    { area: layout.notebook, paint: paintNotebook },
    { area: message, paint: paintMessage },
    { area: hint, paint: (grid, area, scene) => paintHint(grid, area, scene, layout) },
  ];
}

/** Large letters, and below them the lines that speak as always. */
function largeView(layout: Layout): ScreenPart[] {
  const { columns, message, hint } = layout;
  const bottom = message.height > 0 ? message.y : hint.y;
  return [
    { area: { x: 0, y: 0, width: columns, height: bottom }, paint: paintLarge },
    { area: message, paint: paintMessage },
    { area: hint, paint: (grid, area, scene) => paintHint(grid, area, scene, layout) },
  ];
}

function tooSmall(columns: number, rows: number, { styles }: Theme): ScreenPart[] {
  const words = `The music plays on. The lanes need ${SMALLEST.columns}x${SMALLEST.rows} cells; here are ${columns}x${rows}.`;
  return wrappedLines(words, columns)
    .slice(0, rows)
    .map((text, y) => ({ area: { x: 0, y, width: columns, height: 1 }, text, style: styles.text }));
}
