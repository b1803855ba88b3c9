const CHECK_PATH = 'check the path';
const MAY_READ = 'change its permissions or copy it to where you may read';

const CAUSES: Readonly<Record<string, readonly [what: string, nextStep: string]>> = {
  ENOENT: ['no such file', CHECK_PATH],
  ENOTDIR: ['a part of the path is not a folder', CHECK_PATH],
  EACCES: ['no permission to read it', MAY_READ],
  EPERM: ['no permission to read it', MAY_READ],
  ELOOP: ['its links lead in a circle', 'give the path of the file itself'],
  ENAMETOOLONG: ['the path is too long', CHECK_PATH],
};

/** What the system's code for a file that cannot be read means, and the next step. */
export function pathError(code: string): readonly [what: string, nextStep: string] {
  return CAUSES[code] ?? [`it cannot be read (${code})`, 'check the disk'];
}
