import { assemble6502, crossesPage } from './assemble-6502.ts';

const BLOCK = '; block\n';

/**
 * The source with its blocks in the order, and with the room between them, in which no branch crosses a page: a branch
 * that does takes a cycle more, which nobody counted. Blocks begin at a line `; block`; nothing runs from one into the
 * next, and no branch leads from one to another. Of all orders the one that wastes least is taken.
 */
export function place6502(source: string, origin: number): string {
  const blocks = source.split(BLOCK).map((text) => ({ text, ...shapeOf(text) }));
  let best: { readonly room: readonly number[]; readonly order: readonly number[] } | undefined;
  const wasted = (room: readonly number[]) => room.reduce((sum, one) => sum + one, 0);
  const placed = (order: readonly number[], room: readonly number[], at: number): void => {
    if (best !== undefined && wasted(room) >= wasted(best.room)) return;
    if (order.length === blocks.length) best = { order, room };
    for (const [index, block] of blocks.entries()) {
      if (order.includes(index)) continue;
      const free = roomBefore(block.branches, at);
      placed([...order, index], [...room, free], at + free + block.length);
    }
  };
  placed([], [], origin);
  const { order, room } = best!;
  return order
    .map((index, place) => (room[place]! > 0 ? `        .res ${room[place]}\n` : '') + blocks[index]!.text)
    .join('');
}

/** A block by itself: its branches are all within it, and what else it names is as long wherever it is. */
function shapeOf(text: string): {
  readonly length: number;
  readonly branches: readonly (readonly [number, number])[];
} {
  const anywhere = new Proxy({}, { get: () => 0 }) as Record<string, number>;
  const { bytes, branches } = assemble6502(text, 0, anywhere);
  return { length: bytes.length, branches };
}

/** The least room before a block at `at` so that none of its branches crosses a page. */
function roomBefore(branches: readonly (readonly [number, number])[], at: number): number {
  let room = 0;
  while (branches.some(([from, to]) => crossesPage([at + room + from, at + room + to]))) {
    room += 1;
    if (room > 0xff) throw new Error('a block of the player is too long for a page');
  }
  return room;
}
