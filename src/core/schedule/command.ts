/**
 * What a person can ask of a running song. Commands cross threads as four numbers (`op`, `a`, `b`, `c`), so
 * the sending thread reads them without garbage. Channels are 0–15, keys 0–127, times song microseconds.
 */
export type Command =
  | { readonly kind: 'play' }
  | { readonly kind: 'pause' }
  | { readonly kind: 'stop' }
  | { readonly kind: 'seek'; readonly micros: number }
  | { readonly kind: 'loop'; readonly fromMicros: number; readonly toMicros: number }
  | { readonly kind: 'loop-off' }
  | { readonly kind: 'tempo-scale'; readonly scale: number }
  | { readonly kind: 'transpose'; readonly semitones: number }
  | { readonly kind: 'mute'; readonly channel: number; readonly on: boolean }
  | { readonly kind: 'solo'; readonly channel: number; readonly on: boolean }
  | { readonly kind: 'velocity-trim'; readonly channel: number; readonly amount: number }
  | { readonly kind: 'channel-transpose'; readonly channel: number; readonly semitones: number }
  | { readonly kind: 'program-override'; readonly channel: number; readonly program: number | undefined }
  | { readonly kind: 'silence-all' }
  | { readonly kind: 'silence-channel'; readonly channel: number }
  | { readonly kind: 'silence-note'; readonly channel: number; readonly key: number }
  | { readonly kind: 'quit' };

export type CommandKind = Command['kind'];
