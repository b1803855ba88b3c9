import { readdirSync } from 'node:fs';

/** Names in a folder of devices, in the order people count; none where there is no such folder. */
export function deviceEntries(folder: string): string[] {
  try {
    return readdirSync(folder).sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  } catch {
    return [];
  }
}
