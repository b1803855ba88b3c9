import { type CellGrid, PLAIN } from '../cells/cell-grid.ts';
import { cellWidth } from '../cells/cell-width.ts';
import { applySgr } from './sgr.ts';

/**
 * Cuts a frame written by Ink (lines of text with SGR sequences between) into cells. The grid is blanked
 * first; what lies outside it is dropped. Other control sequences, control strings (hyperlinks, titles) and
 * control characters draw nothing: they are passed over whole.
 */
export function parseFrame(frame: string, grid: CellGrid): void {
  grid.clip();
  grid.clear();
  let x = 0;
  let y = 0;
  let style = PLAIN;
  for (let at = 0; at < frame.length; at += 1) {
    const unit = frame.charCodeAt(at);
    if (unit >= 0x20 && unit < 0x7f) {
      grid.set(x++, y, unit, style);
    } else if (unit === LINE_FEED) {
      x = 0;
      y += 1;
    } else if (unit === ESCAPE) {
      const end = sequenceEnd(frame, at);
      if (frame.charCodeAt(end) === SMALL_M && frame.charCodeAt(at + 1) === BRACKET) {
        style = applySgr(frame, at + 2, end, style);
      }
      at = end;
    } else {
      const codePoint = frame.codePointAt(at)!;
      if (codePoint > 0xffff) at += 1;
      const width = cellWidth(codePoint);
      if (width === 1) grid.set(x, y, codePoint, style);
      if (width === 2) grid.setWide(x, y, codePoint, style);
      x += width;
    }
  }
}

const LINE_FEED = 0x0a;
const BELL = 0x07;
const ESCAPE = 0x1b;
const BRACKET = 0x5b;
const BACKSLASH = 0x5c;
const SMALL_M = 0x6d;
const C1_TERMINATOR = 0x9c;

/** Place of the last unit of the sequence that begins with the escape at `start` (ECMA-48, 5.3 to 5.6). */
function sequenceEnd(frame: string, start: number): number {
  const introducer = frame[start + 1];
  let at = start + 1;
  if (introducer === '[') {
    do at += 1;
    while (at < frame.length && !isBetween(frame.charCodeAt(at), 0x40, 0x7e));
    return at;
  }
  if (introducer !== undefined && ']PX^_'.includes(introducer)) {
    for (at += 1; at < frame.length; at += 1) {
      const unit = frame.charCodeAt(at);
      if (unit === BELL || unit === C1_TERMINATOR) return at;
      if (unit === ESCAPE && frame.charCodeAt(at + 1) === BACKSLASH) return at + 1;
    }
    return at;
  }
  while (isBetween(frame.charCodeAt(at), 0x20, 0x2f)) at += 1;
  return at;
}

function isBetween(unit: number, from: number, to: number): boolean {
  return unit >= from && unit <= to;
}
