/** A figure a bench is judged by. Exactly one of `atMost` and `atLeast` is the target. */
export type Goal = { readonly name: string; readonly value: number; readonly unit?: string } & (
  | { readonly atMost: number }
  | { readonly atLeast: number }
);

export interface GoalVerdict {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly target: string;
  readonly met: boolean;
}

/** A value that is not a number (nothing was measured) never meets a goal. */
export function judge(goal: Goal): GoalVerdict {
  const unit = goal.unit ?? '';
  const [target, met] =
    'atMost' in goal
      ? [`<=${goal.atMost}${unit}`, goal.value <= goal.atMost]
      : [`>=${goal.atLeast}${unit}`, goal.value >= goal.atLeast];
  return { name: goal.name, value: goal.value, unit, target, met };
}

/** `goal <name> <value> <target> met|missed`, four words and the verdict, so that a script can read it. */
export function goalLine(goal: Goal): string {
  const { name, value, unit, target, met } = judge(goal);
  return `goal ${name.replaceAll(/\s+/g, '-')} ${shortNumber(value)}${unit} ${target} ${met ? 'met' : 'missed'}`;
}

/** Prints one line for each goal; hands back the verdicts for the bench's JSON. */
export function printGoals(goals: readonly Goal[]): GoalVerdict[] {
  for (const goal of goals) process.stdout.write(`${goalLine(goal)}\n`);
  return goals.map(judge);
}

function shortNumber(value: number): string {
  if (Number.isInteger(value)) return String(value);
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toPrecision(3);
}
