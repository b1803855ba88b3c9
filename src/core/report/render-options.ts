export interface RenderOptions {
  readonly ascii: boolean;
  /** Findings listed before the rest is only counted. */
  readonly mostFindings: number;
  /** Makes text from the song harmless for where it is shown. */
  readonly clean: (text: string) => string;
}
