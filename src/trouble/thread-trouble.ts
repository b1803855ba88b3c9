import { Refusal } from './refusal.ts';

/** Why a thread could not do its work, as it tells the thread that started it: a class does not survive the way. */
export type ThreadTrouble =
  | { readonly kind: 'refused'; readonly what: string; readonly where: string; readonly nextStep: string }
  | { readonly kind: 'fault'; readonly error: Error };

export function threadTroubleOf(error: unknown): ThreadTrouble {
  if (error instanceof Refusal) {
    return { kind: 'refused', what: error.what, where: error.where, nextStep: error.nextStep };
  }
  return { kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) };
}
