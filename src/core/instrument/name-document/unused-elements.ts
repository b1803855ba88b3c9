import { patchName } from './bank-drafts.ts';
import type { XmlElement } from './xml-element.ts';

const UNUSED: readonly (readonly [element: string, one: string, many: string])[] = [
  ['ControlNameList', 'a list of names of controllers', 'lists of names of controllers'],
  ['ValueNameList', 'a list of names of values', 'lists of names of values'],
  ['SysEx', 'a SysEx among its commands', 'SysEx among its commands'],
  [
    'SupportsStandardDeviceMode',
    'a standard mode that it knows as well',
    'standard modes that it knows as well',
  ],
];

/** Sentences about elements that a profile has no use for, and about patches without a name. */
export function unusedElements(all: ReadonlyMap<string, readonly XmlElement[]>): string[] {
  const remarks: string[] = [];
  for (const [name, one, many] of UNUSED) {
    const length = all.get(name)?.length ?? 0;
    if (length > 0) remarks.push(`not used: ${length === 1 ? one : `${length} ${many}`}`);
  }
  const unnamed = (all.get('Patch') ?? []).filter((patch) => patchName(patch) === '').length;
  if (unnamed > 0) {
    const subject = unnamed === 1 ? '1 patch has no name and goes' : `${unnamed} patches have no name and go`;
    remarks.push(`${subject} by number`);
  }
  return remarks;
}
