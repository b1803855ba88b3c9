import type { DOMElement } from 'ink';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';

/** What happens at a box of the layout: live cells are painted, or what was painted before is covered. */
export type Place =
  | { readonly kind: 'live'; paint: (grid: CellGrid, area: Area) => void }
  | { readonly kind: 'cover' };

export interface MeasuredPlace {
  readonly place: Place;
  readonly area: Area;
}

/** The boxes of the layout that are live or cover live ones, by Ink's node. */
export class PlaceRegister {
  readonly #places = new Map<DOMElement, Place>();

  readonly #onChange: () => void;

  constructor(onChange: () => void) {
    this.#onChange = onChange;
  }

  /** Returns the function that takes the box out again. */
  add(node: DOMElement, place: Place): () => void {
    this.#places.set(node, place);
    this.#onChange();
    return () => {
      this.#places.delete(node);
      this.#onChange();
    };
  }

  /** Where the boxes lie now, in the order in which Ink draws them: a later one lies on top. */
  measure(): MeasuredPlace[] {
    const measured: MeasuredPlace[] = [];
    const [first] = this.#places.keys();
    if (first !== undefined) this.#walk(rootOf(first), 0, 0, measured);
    return measured;
  }

  /** Yoga's left and top count from the parent, so they are added up on the way down. */
  #walk(node: DOMElement, parentX: number, parentY: number, measured: MeasuredPlace[]): void {
    const layout = node.yogaNode;
    // A node without layout is text inside text; nothing inside a hidden one shows.
    if (layout === undefined || layout.getDisplay() === DISPLAY_NONE) return;
    const x = parentX + layout.getComputedLeft();
    const y = parentY + layout.getComputedTop();
    const place = this.#places.get(node);
    if (place !== undefined) {
      const area = { x, y, width: layout.getComputedWidth(), height: layout.getComputedHeight() };
      measured.push({ place, area });
    }
    for (const child of node.childNodes) {
      if (child.nodeName === 'ink-box') this.#walk(child, x, y, measured);
    }
  }
}

/** `Yoga.DISPLAY_NONE`; Yoga itself is Ink's dependency, not ours. */
const DISPLAY_NONE = 1;

function rootOf(node: DOMElement): DOMElement {
  let root = node;
  while (root.parentNode !== undefined) root = root.parentNode;
  return root;
}
