/** What the thread that reads an input is started with; `ring` of an `InputRing`, `wake` of the run's `CommandRing`. */
export interface InputWork {
  readonly from: string;
  readonly waitForDevice: boolean;
  /** `KeptInput.link`. */
  readonly link?: SharedArrayBuffer | undefined;
  readonly ring: SharedArrayBuffer;
  readonly wake: SharedArrayBuffer;
}

export type FromInput =
  | { readonly kind: 'thread'; readonly thread: number }
  | { readonly kind: 'ready' }
  | { readonly kind: 'refused'; readonly what: string; readonly where: string; readonly nextStep: string }
  | { readonly kind: 'trouble'; readonly trouble: string }
  | { readonly kind: 'fault'; readonly error: Error };
