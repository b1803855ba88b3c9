import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { createListenState } from '../../../src/core/observe/listen-state.ts';
import { paintLaneDetail } from '../../../src/screen/dialogs/lane-detail-painter.ts';
import type { Scene } from '../../../src/screen/scene/scene.ts';
import { painted, sceneWith } from '../../support/scene.ts';

/** The lane detail of channel 1 after so many notes. */
function detail(notes: number, parts: Partial<Scene> = {}): string {
  const observed = createObservedState();
  for (let key = 60; key < 60 + notes; key += 1) {
    foldMessage(observed, 0x90, key, 64, Float64Array.of(key, -1));
  }
  const scene = sceneWith({ ...parts, observed });
  return painted(80, 16, (grid, area) => paintLaneDetail(grid, area, scene)).lines.join('\n');
}

test('one note is a note, two are notes', () => {
  expect(detail(1)).toMatch(/sent +1 note, 1 message, /);
  expect(detail(2)).toMatch(/sent +2 notes, 2 messages, /);
});

test('what came in is heard, not sent', () => {
  const text = detail(1, { listen: createListenState() });
  expect(text).toMatch(/heard +1 note, 1 message, /);
  expect(text).not.toContain('sent ');
});
