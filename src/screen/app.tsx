import { Box } from 'ink';
import { type ReactNode, useMemo, useSyncExternalStore } from 'react';
import { dialogArea } from './dialogs/dialog-area.ts';
import { DialogHost } from './dialogs/dialog-host.tsx';
import { cleanText } from './format/text-cleaning.ts';
import { Label } from './ink-frame/label.tsx';
import { LiveBox } from './ink-frame/live-box.tsx';
import { useKeys, useScreenSize } from './ink-frame/screen-context.ts';
import { pointedAt } from './pointed-at.ts';
import { keysOfWheel } from './pointer/keys-of-wheel.ts';
import type { Pointed } from './pointer/pointed.ts';
import { layoutFor } from './scene/layout.ts';
import type { SceneMaker } from './scene/scene-maker.ts';
import { type ScreenPart, screenParts } from './screen-parts.ts';
import type { ScreenStore } from './state/screen-store.ts';

export interface AppProps {
  readonly store: ScreenStore;
  readonly scenes: SceneMaker;
  /** Called with each key's name. */
  readonly onKey: (key: string) => void;
  /** Called with what a click meant. */
  readonly onPointed?: (pointed: Pointed) => void;
}

/** The whole screen: Ink draws what stands still and the dialogs; the painters draw what moves. */
export function App({ store, scenes, onKey, onPointed }: AppProps): ReactNode {
  const { columns, rows } = useScreenSize();
  const { song, theme } = scenes;
  const layout = useMemo(() => layoutFor(columns, rows), [columns, rows]);
  const isLarge = useSyncExternalStore(store.subscribe, () => store.get().isLarge);
  const parts = useMemo(
    () => screenParts(columns, rows, song, theme, isLarge),
    [columns, rows, song, theme, isLarge],
  );
  useKeys(
    (key) => onKey(key.name),
    (text) => {
      for (const letter of cleanText(text)) onKey(letter === ' ' ? 'space' : letter);
    },
    (mouse) => {
      const { dialog } = store.get();
      if (mouse.button === 'wheel-up' || mouse.button === 'wheel-down') {
        for (const key of keysOfWheel(mouse.button, dialog)) onKey(key);
      } else if (layout) {
        const pointed = pointedAt(mouse, parts, dialog === 'none' ? undefined : dialogArea(layout, dialog));
        if (pointed) onPointed?.(pointed);
      }
    },
  );
  return (
    <Box width={columns} height={rows}>
      {parts.map((part) => (
        <PartBox key={`${part.area.x},${part.area.y}`} part={part} scenes={scenes} />
      ))}
      {layout && <DialogHost layout={layout} store={store} scenes={scenes} />}
    </Box>
  );
}

function PartBox({ part, scenes }: { readonly part: ScreenPart; readonly scenes: SceneMaker }): ReactNode {
  const { x, y, width, height } = part.area;
  const box = { position: 'absolute', marginLeft: x, marginTop: y, width, height } as const;
  if ('paint' in part) {
    return <LiveBox {...box} paint={(grid, area) => part.paint(grid, area, scenes.scene())} />;
  }
  return (
    <Box {...box}>
      <Label style={part.style}>{part.text}</Label>
    </Box>
  );
}
