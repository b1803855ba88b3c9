import { createContext, useContext, useEffect, useRef } from 'react';
import type { InputListener } from '../terminal/input-listeners.ts';
import type { Key } from '../terminal/key.ts';
import type { Mouse } from '../terminal/mouse.ts';
import type { PlaceRegister } from './places.ts';

/** What components may know of the screen they are on. */
export interface ScreenAccess {
  readonly columns: number;
  readonly rows: number;
  readonly places: PlaceRegister;
  /** Calls back for every key press and paste until the returned function is called. */
  listen(listener: InputListener): () => void;
}

export const ScreenContext = createContext<ScreenAccess | undefined>(undefined);

export function useScreen(): ScreenAccess {
  const access = useContext(ScreenContext);
  if (access === undefined) throw new Error('used outside openScreen or openTestScreen');
  return access;
}

/** The screen's size in cells; the component renders anew when it changes. */
export function useScreenSize(): { readonly columns: number; readonly rows: number } {
  return useScreen();
}

/** Every key press goes to `onKey` while the component is mounted; several listeners all hear it. */
export function useKeys(
  onKey: (key: Key) => void,
  onPaste?: (text: string) => void,
  onMouse?: (mouse: Mouse) => void,
): void {
  const { listen } = useScreen();
  const latest = useRef({ onKey, onPaste, onMouse });
  latest.current = { onKey, onPaste, onMouse };
  useEffect(
    () =>
      listen({
        key: (key) => latest.current.onKey(key),
        paste: (text) => latest.current.onPaste?.(text),
        mouse: (mouse) => latest.current.onMouse?.(mouse),
      }),
    [listen],
  );
}
