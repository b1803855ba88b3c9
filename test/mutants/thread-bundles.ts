import { readdirSync } from 'node:fs';
import { basename, join, relative, resolve } from 'node:path';
import { type BuildContext, type BuildOptions, context } from 'esbuild';

/** How whatever a mutant runs in is bundled. */
export const BUNDLE: BuildOptions = {
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  jsx: 'automatic',
  packages: 'external',
  logLevel: 'silent',
};

/** What threads of the program are started from (`workerEntry`). */
export class ThreadBundles {
  readonly #root: string;
  readonly #context: Promise<BuildContext>;
  /** The sources in them. */
  #inputs = new Set<string>();
  /** They are built of the sources as they are. */
  #isSound = false;

  constructor(root: string, outdir: string, options: BuildOptions) {
    this.#root = root;
    const entries = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' });
    this.#context = context({
      ...options,
      entryPoints: entries
        .filter((name) => name.endsWith('-worker.ts'))
        .map((name) => ({ in: join(root, 'src', name), out: basename(name, '.ts') })),
      outdir,
      outExtension: { '.js': '.mjs' },
      metafile: true,
    });
  }

  /** With `mutated` changed, where one of them has it. */
  async build(mutated = ''): Promise<void> {
    if (this.#isSound && !this.#inputs.has(mutated)) return;
    this.#isSound = false;
    const { metafile } = await (await this.#context).rebuild();
    this.#inputs = new Set(Object.keys(metafile!.inputs).map((path) => relative(this.#root, resolve(path))));
    this.#isSound = !this.#inputs.has(mutated);
  }

  async close(): Promise<void> {
    await (await this.#context).dispose();
  }
}
