import { fileURLToPath } from 'node:url';
import { pathKind } from './path-kind.ts';

/**
 * A folder that comes with the package, from wherever it is started: `songs`, `instruments`, `docs`. It is one folder
 * up from `dist/wirepit.js`, two from a chunk of it or from here.
 */
export function shippedFolder(name: string): string {
  const [near, far] = [`../${name}`, `../../${name}`].map((path) =>
    fileURLToPath(new URL(path, import.meta.url)),
  );
  return pathKind(near!) === 'folder' ? near! : far!;
}
