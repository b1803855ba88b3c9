import { Slot } from '../../core/observe/observed-state.ts';
import { PortTrouble } from '../../core/observe/port-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import type { Player } from '../../engine/run/player.ts';
import { PortWatch } from '../../screen/scene/port-watch.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import { PortReturn } from './port-return.ts';

const LOOK_EVERY_MS = 200;

/** Who wants to know of a song that plays. */
export interface SongListener {
  /** Where it is, in song µs: at once, and now and then. */
  onPosition(songMicros: number): void;
  /** What befell it, in words: a port that went, or is there again, a clock that was lost, a machine that stood still. */
  onNews(words: string): void;
  /** Called as often as is looked. */
  onLook?(): void;
}

/**
 * While a song of a show plays: tells how it stands, and begins it anew when a port that was gone is back.
 * @returns ends it
 */
export function lookAfterSong(
  player: Player,
  song: SongView,
  startMicros: number,
  { onPosition, onNews, onLook }: SongListener,
): () => void {
  const portReturn = new PortReturn(startMicros);
  const ports = new PortWatch();
  onPosition(startMicros);
  const look = setInterval(() => {
    const [{ observed }, nowMicros] = [player, player.nowMicros()];
    for (const words of ports.look({ observed, listen: undefined, song, nowMicros })) onNews(words);
    onLook?.();
    const isLost = player.observed.numbers[Slot.portTrouble] === PortTrouble.lost;
    for (const command of portReturn.look(isLost)) player.send(command);
    onPosition(songPosition(player.observed, player.nowMicros()));
  }, LOOK_EVERY_MS);
  return () => clearInterval(look);
}
