import { Refusal } from '../../trouble/refusal.ts';
import { portNamed } from '../port-named.ts';
import { fileIdentity } from './file-identity.ts';

/** What a run reads and writes. */
export interface FilesOfRun {
  /** Outputs as they were named; only those to files matter. */
  readonly outputs: readonly string[];
  /** A file that is made anew beside them. */
  readonly record?: string | undefined;
  /** Paths of what is played or listened to. */
  readonly sources: readonly string[];
}

/**
 * A port never writes over what the run reads, and no two of its outputs share a file, whatever they are called and
 * whatever consent was given.
 * @throws Refusal
 */
export function refuseSharedFiles({ outputs, record, sources }: FilesOfRun): void {
  const written = outputs.flatMap((spec) => {
    const named = portNamed(spec);
    return named?.kind.name === 'file' && named.rest !== '' ? [{ where: spec, path: named.rest }] : [];
  });
  if (written.length === 0) return;
  if (record !== undefined) written.push({ where: record, path: record });
  const taken = new Map<string, string>();
  for (const { where, path } of written) {
    const identity = fileIdentity(path);
    if (identity === undefined) continue;
    const other = taken.get(identity);
    if (other !== undefined) {
      throw new Refusal(`it is the same file as ${other}`, where, 'give each output a file of its own');
    }
    taken.set(identity, where);
  }
  for (const source of sources) {
    const where = taken.get(fileIdentity(source) ?? '');
    if (where === undefined) continue;
    const what = `it is the file that is read, ${source}`;
    throw new Refusal(what, where, 'choose another name: what is read is never written over');
  }
}
