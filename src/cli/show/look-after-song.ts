import { Slot } from '../../core/observe/observed-state.ts';
import { PortTrouble } from '../../core/observe/port-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import type { Player } from '../../engine/run/player.ts';
import { PortReturn } from './port-return.ts';

const LOOK_EVERY_MS = 200;

/**
 * While a song of a show plays: tells where it is, at once and now and then, and begins it anew when a port that was
 * gone is back.
 * @param onLook is called as often
 * @returns ends it
 */
export function lookAfterSong(
  player: Player,
  startMicros: number,
  onPosition: (songMicros: number) => void,
  onLook: () => void = () => {},
): () => void {
  const portReturn = new PortReturn(startMicros);
  onPosition(startMicros);
  const look = setInterval(() => {
    onLook();
    const isLost = player.observed.numbers[Slot.portTrouble] === PortTrouble.lost;
    for (const command of portReturn.look(isLost)) player.send(command);
    onPosition(songPosition(player.observed, player.nowMicros()));
  }, LOOK_EVERY_MS);
  return () => clearInterval(look);
}
