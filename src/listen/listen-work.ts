import type { Command } from '../core/schedule/command.ts';
import type { ThreadTrouble } from '../trouble/thread-trouble.ts';
import type { ListenOptions } from './listener.ts';
import type { SharedPictures } from './start-listener.ts';

/** What the listening thread is started with, and what goes either way between the threads. */
export interface ListenWork {
  readonly options: ListenOptions;
  readonly shared: SharedPictures;
}

export type ToListener = { readonly kind: 'command'; readonly command: Command };

export type FromListener =
  | { readonly kind: 'ready' }
  | { readonly kind: 'thread'; readonly thread: number }
  | { readonly kind: 'trouble'; readonly trouble: string }
  | { readonly kind: 'over'; readonly how: 'ended' | 'quit' }
  | ThreadTrouble;
