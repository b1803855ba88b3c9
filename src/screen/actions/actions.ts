import type { Action } from './action.ts';
import { LANE_ACTIONS } from './lane-actions.ts';
import { SILENCE_ACTIONS } from './silence-actions.ts';
import { TRANSPORT_ACTIONS } from './transport-actions.ts';
import { VIEW_ACTIONS } from './view-actions.ts';

/** Everything a key can do. `keys/key-table.ts` says which key does it. */
export const ACTIONS = { ...TRANSPORT_ACTIONS, ...LANE_ACTIONS, ...SILENCE_ACTIONS, ...VIEW_ACTIONS };

export type ActionName = keyof typeof ACTIONS;

export function actionNamed(name: ActionName): Action {
  return ACTIONS[name];
}
