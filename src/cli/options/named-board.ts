import type { Board } from '../../board/board.ts';

/** The board that `--board` names, for a prepared song to be held against. Only those who name one load what reads it. */
export async function boardOf({ board }: { readonly board?: string }): Promise<Board | undefined> {
  if (board === undefined) return undefined;
  const { readBoard } = await import('../../board/board.ts');
  return readBoard(board);
}
