import type { Area } from '../cells/area.ts';
import type { Layout } from '../scene/layout.ts';
import type { Dialog } from '../state/screen-state.ts';

/** Dialogs about the music leave transport and wire in sight where there is room; the others take the screen. */
export function dialogArea(layout: Layout, dialog: Dialog): Area {
  const { columns, rows, headings, lanes } = layout;
  const keepsWire = (dialog === 'stuck' || dialog === 'lane') && layout.bands === 1;
  if (!keepsWire) return { x: 0, y: 1, width: columns, height: rows - 2 };
  return { x: 0, y: headings.y, width: columns, height: headings.height + lanes.height };
}
