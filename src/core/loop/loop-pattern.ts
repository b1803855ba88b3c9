import type { LoopPlan, LoopStep } from './loop-plan.ts';
import { patternRound } from './pattern-round.ts';

/** What is sent, byte for byte. All columns of one table are equally long. */
export interface LoopPattern {
  readonly plan: LoopPlan;
  readonly steps: readonly LoopStep[];
  readonly bytes: Uint8Array;
  /** Offset of each step's first byte; one more at the end. */
  readonly start: Uint32Array;
  /** Step of each byte. */
  readonly stepOf: Uint32Array;
}

export function loopPattern(plan: LoopPlan): LoopPattern {
  const steps: LoopStep[] = [];
  for (let round = 0; round < plan.rounds; round += 1) {
    for (const step of patternRound(plan, round)) steps.push(step);
  }
  return patternOf(plan, steps);
}

export function patternOf(plan: LoopPlan, steps: readonly LoopStep[]): LoopPattern {
  const start = new Uint32Array(steps.length + 1);
  for (let step = 0; step < steps.length; step += 1) {
    start[step + 1] = start[step]! + steps[step]!.bytes.length;
  }
  const bytes = new Uint8Array(start[steps.length]!);
  const stepOf = new Uint32Array(bytes.length);
  for (let step = 0; step < steps.length; step += 1) {
    bytes.set(steps[step]!.bytes, start[step]);
    stepOf.fill(step, start[step], start[step + 1]);
  }
  return { plan, steps, bytes, start, stepOf };
}

/** When each step begins on a wire that does as it should (µs): what a far end without the sender's stamps goes by. */
export function plannedMicros({ steps }: LoopPattern, byteMicros: number): Float64Array {
  const planned = new Float64Array(steps.length);
  let free = 0;
  for (let step = 0; step < steps.length; step += 1) {
    planned[step] = free + steps[step]!.restMicros;
    free = planned[step]! + steps[step]!.bytes.length * byteMicros;
  }
  return planned;
}
