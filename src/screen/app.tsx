import { Box } from 'ink';
import { type ReactNode, useMemo } from 'react';
import type { Area } from './cells/area.ts';
import type { CellGrid } from './cells/cell-grid.ts';
import { drawText } from './cells/draw-text.ts';
import { DialogHost } from './dialogs/dialog-host.tsx';
import { Label } from './ink-frame/label.tsx';
import { LiveBox } from './ink-frame/live-box.tsx';
import { useKeys, useScreenSize } from './ink-frame/screen-context.ts';
import { keyHint } from './key-hint.ts';
import { laneHeadings } from './lanes/lane-headings.ts';
import { laneName } from './lanes/lane-name.ts';
import { paintLanes } from './lanes/lane-painter.ts';
import { type Layout, layoutFor, SMALLEST } from './layout.ts';
import { paintHeard, paintLatestFault, paintSender } from './listen/listen-painter.ts';
import { paintLyrics } from './panels/lyrics-painter.ts';
import { paintMarkers } from './panels/marker-painter.ts';
import { messageOf, paintMessage } from './panels/message-painter.ts';
import { paintNotebook } from './panels/notebook-painter.ts';
import { paintPosition } from './panels/position-painter.ts';
import { paintTransport, transportWidth } from './panels/transport-painter.ts';
import { paintWire } from './panels/wire-painter.ts';
import type { Scene } from './scene.ts';
import type { SceneMaker } from './scene-maker.ts';
import type { ScreenStore } from './state/screen-store.ts';
import { cleanText } from './text-cleaning.ts';

export interface AppProps {
  readonly store: ScreenStore;
  readonly scenes: SceneMaker;
  /** Called with each key's name. */
  readonly onKey: (key: string) => void;
}

/** The whole screen: Ink lays it out and draws what stands still; the painters draw what moves. */
export function App({ store, scenes, onKey }: AppProps): ReactNode {
  const { columns, rows } = useScreenSize();
  const layout = useMemo(() => layoutFor(columns, rows), [columns, rows]);
  useKeys(
    (key) => onKey(key.name),
    (text) => {
      for (const letter of cleanText(text)) onKey(letter === ' ' ? 'space' : letter);
    },
  );
  if (!layout) return <TooSmall columns={columns} rows={rows} />;
  return (
    <Box width={columns} height={rows} flexDirection="column">
      <Panels layout={layout} scenes={scenes} />
      <DialogHost layout={layout} store={store} scenes={scenes} />
    </Box>
  );
}

function TooSmall({ columns, rows }: { columns: number; rows: number }): ReactNode {
  const words = `The music plays on. The lanes need ${SMALLEST.columns}x${SMALLEST.rows} cells; here are ${columns}x${rows}.`;
  return <Label wrap="wrap">{words}</Label>;
}

function Panels({ layout, scenes }: { layout: Layout; scenes: SceneMaker }): ReactNode {
  const { theme, song } = scenes;
  const { columns, headings } = layout;
  const title = cleanText(song.title) || cleanText(song.fileName);
  const right = transportWidth(columns);
  const hasLyrics = (song.timeline?.lyrics.length ?? 0) > 0;
  const isListening = song.timeline === undefined;
  const top = isListening ? paintSender : paintTransport;
  const live = (area: Area, paint: (grid: CellGrid, area: Area, scene: Scene) => void): ReactNode =>
    area.height === 0 ? null : (
      <LiveBox width={columns} height={area.height} paint={(grid, box) => paint(grid, box, scenes.scene())} />
    );
  return (
    <>
      <Box height={1} width={columns} flexShrink={0}>
        <Box width={columns - right} paddingLeft={1} paddingRight={1}>
          <Label style={theme.styles.strong}>{title}</Label>
        </Box>
        <LiveBox width={right} height={1} paint={(grid, box) => top(grid, box, scenes.scene())} />
      </Box>
      {live(layout.position, isListening ? paintHeard : paintPosition)}
      {live(layout.markers, isListening ? paintLatestFault : paintMarkers)}
      {hasLyrics ? (
        live(headings, paintLyrics)
      ) : headings.height > 0 ? (
        <Box height={1} width={columns} flexShrink={0}>
          <Label style={theme.styles.faint}>{laneHeadings(columns)}</Label>
        </Box>
      ) : null}
      {live(layout.lanes, (grid, area, scene) =>
        paintLanes(grid, area, scene, layout.bands, layout.laneRows),
      )}
      {live(layout.wire, paintWire)}
      {live(layout.notebook, paintNotebook)}
      {live(layout.message, paintMessage)}
      {layout.message.height === 0 ? (
        live(layout.hint, paintHintOrMessage)
      ) : (
        <Box height={1} width={columns} flexShrink={0}>
          <Label style={theme.styles.label}>{keyHint(columns, !isListening)}</Label>
        </Box>
      )}
    </>
  );
}

/** On the smallest screens, which have no room for names, the chosen lane's stands beside the first keys. */
function paintHintOrMessage(grid: CellGrid, area: Area, scene: Scene): void {
  if (messageOf(scene)) {
    paintMessage(grid, area, scene);
    return;
  }
  const { styles } = scene.theme;
  const { lane } = scene.state;
  const named = ` ${lane + 1} ${laneName(scene.observed, lane) || 'nothing sent'} `;
  const used = drawText(grid, area.x, area.y, named, styles.name, area.width);
  drawText(
    grid,
    area.x + used,
    area.y,
    keyHint(area.width - used, scene.listen === undefined),
    styles.label,
    area.width - used,
  );
}
