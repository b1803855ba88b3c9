import { accessSync, constants, readFileSync, statSync } from 'node:fs';

export type Access = 'ok' | 'absent' | 'no-permission';

/** Whether this user may read and write a device node. */
export function accessOf(path: string): Access {
  try {
    accessSync(path, constants.R_OK | constants.W_OK);
    return 'ok';
  } catch (error) {
    return accessTold((error as NodeJS.ErrnoException).code);
  }
}

/** What the code of the error says (access(2)). */
export function accessTold(code: string | undefined): Access {
  return code === 'EACCES' || code === 'EPERM' ? 'no-permission' : 'absent';
}

/** Name of the group a device belongs to, undefined where it has none or the group may not write. */
export function groupOf(path: string, groupFile = '/etc/group'): string | undefined {
  try {
    const { gid, mode } = statSync(path);
    if ((mode & constants.S_IWGRP) === 0) return undefined;
    for (const line of readFileSync(groupFile, 'utf8').split('\n')) {
      const [name, , id] = line.split(':');
      if (id === String(gid)) return name;
    }
  } catch {
    // no such device, or a system without a group file
  }
  return undefined;
}

/** What to do about a device that may not be used: which group grants it. */
export function groupAdvice(path: string, groupFile?: string): string {
  const group = groupOf(path, groupFile);
  if (group === undefined || group === 'root')
    return 'no group grants it; ask who runs this machine for a udev rule';
  return `group ${group} grants it: sudo usermod -aG ${group} "$USER", then log in again`;
}
