import type { SendPlan } from '../wire/send-plan.ts';

/** Places in a channel's part of the map beyond its controllers. */
export const Settled = { program: 128, bend: 129, pressure: 130, stride: 131 } as const;

/**
 * Marks what a song sets on a channel before that channel's first note: [16 × stride]. Of such a setting nobody
 * hears the value before, so a jump to before it need not restore that value; the song sets it in time.
 */
export function settledBeforeNotes(plan: SendPlan): Uint8Array {
  const { columns, event, count } = plan;
  const settled = new Uint8Array(16 * Settled.stride);
  let struck = 0;
  let programmed = 0;
  for (let row = 0; row < count && struck !== 0xffff; row += 1) {
    const at = event[row]!;
    const status = columns.status[at]!;
    const channel = status & 0x0f;
    if (status >= 0xf0 || (struck & (1 << channel)) !== 0) continue;
    const base = channel * Settled.stride;
    switch (status & 0xf0) {
      case 0x90:
        if (columns.data2[at]! > 0) struck |= 1 << channel;
        break;
      case 0xb0: {
        // A bank waits for the next program change, so one chosen after a program was heard of by that program.
        const controller = columns.data1[at]!;
        const bank = controller === 0 || controller === 32;
        if (!bank || (programmed & (1 << channel)) === 0) settled[base + controller] = 1;
        break;
      }
      case 0xc0:
        programmed |= 1 << channel;
        settled[base + Settled.program] = 1;
        break;
      case 0xd0:
        settled[base + Settled.pressure] = 1;
        break;
      case 0xe0:
        settled[base + Settled.bend] = 1;
        break;
    }
  }
  return settled;
}
