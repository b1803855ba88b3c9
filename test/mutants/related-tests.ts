import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';

/** Tests that start programs cannot see a mutant: they run what was built. */
const PROGRAMS = /^test\/((terminal|cli|outside|bench|house|songs|hostile)\/|files\/recording\.test)/;
/** Tests that play on the real clock, or read many songs, take too long to be asked about every mutant. */
const SLOW =
  /-songs\.test|test\/engine\/run\/player\.test|test\/listen\/|test\/ports\/network\/two-boards\.test/;

/** Which tests reach which source file, by the imports and the threads that stand in the files, and over how many steps. */
export class RelatedTests {
  /** [file] the files that import it. */
  readonly #importers = new Map<string, string[]>();

  readonly #root: string;
  readonly #only: readonly string[];

  /** @param only the paths of those that are asked; all without it */
  constructor(root: string, only: readonly string[] = ['test/']) {
    this.#root = root;
    this.#only = only;
    for (const folder of ['src', 'test']) {
      for (const name of readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })) {
        if (/\.tsx?$/.test(name)) this.#read(`${folder}/${name}`);
      }
    }
  }

  /**
   * Test files that reach `file`, nearest first: the mirrored one, its folder and those below, its room, …, all others; in
   * each of these those that have a word of its name in theirs first.
   */
  of(file: string): string[] {
    const mirrored = file.replace(/^src/, 'test').replace(/\.tsx?$/, '.test.ts');
    const steps = new Map([[file, 0]]);
    const queue = [file];
    for (let next = queue.shift(); next !== undefined; next = queue.shift()) {
      for (const importer of this.#importers.get(next) ?? []) {
        if (steps.has(importer)) continue;
        steps.set(importer, steps.get(next)! + 1);
        queue.push(importer);
      }
    }
    const folders = dirname(mirrored).split('/');
    const words = wordsOf(mirrored);
    const rank = (test: string) => {
      if (test === mirrored) return 0;
      const of = dirname(test).split('/');
      const shared = folders.findIndex((name, depth) => name !== of[depth]);
      const away = folders.length - (shared < 0 ? folders.length : shared);
      return (
        20 * away +
        (wordsOf(test).some((word) => words.includes(word)) ? 0 : 10) +
        Math.min(9, 1 + steps.get(test)!)
      );
    };
    return [...steps.keys()]
      .filter((name) => this.#only.some((path) => name.startsWith(path)))
      .filter((name) => /\.test\.tsx?$/.test(name) && !PROGRAMS.test(name) && !SLOW.test(name))
      .sort((a, b) => rank(a) - rank(b) || a.localeCompare(b));
  }

  #read(file: string): void {
    const path = join(this.#root, file);
    const text = readFileSync(path, 'utf8');
    const imports = text.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g);
    const threads = text.matchAll(/workerEntry\('([^']+)'\)/g);
    for (const target of [
      ...[...imports].map(([, from]) => resolve(dirname(path), from!).slice(this.#root.length + 1)),
      ...[...threads].map(([, entry]) => `src/${entry}.ts`),
    ]) {
      if (!existsSync(join(this.#root, target))) continue;
      const importers = this.#importers.get(target) ?? [];
      importers.push(file);
      this.#importers.set(target, importers);
    }
  }
}

/** `sysex` and `places` of `…/sysex-places.ts`. */
function wordsOf(file: string): string[] {
  return basename(file).split('.')[0]!.split('-');
}
