import { nameOf } from './name-of.ts';
import { childrenNamed, type XmlElement } from './xml-element.ts';

/** Which device a description is of: its maker, and the models it holds for. */
export interface DeviceNames {
  readonly maker: string;
  readonly models: readonly string[];
}

const NAMING = ['Manufacturer', 'Model', 'Device'];

/** As far as they can be compared: without case, spaces at the ends, or empty ones. */
function deviceNamesOf(device: XmlElement): DeviceNames {
  const texts = (name: string) => childrenNamed(device, name).map(({ text }) => comparable(text));
  const own = childrenNamed(device, 'Device').map(({ attributes }) => comparable(attributes.Name ?? ''));
  return {
    maker: texts('Manufacturer')[0] ?? '',
    models: [...texts('Model'), ...own].filter((name) => name !== ''),
  };
}

export function comparable(name: string): string {
  return name.trim().replaceAll(/\s+/g, ' ').toLowerCase();
}

/** True where one description extends the other: the same maker, and a model that both name. */
export function isSameDevice(one: DeviceNames, other: DeviceNames): boolean {
  return one.maker === other.maker && one.models.some((model) => other.models.includes(model));
}

/** The description in a document that says all of its device; undefined where there is none of these names. */
function masterOf(root: XmlElement, names: DeviceNames): XmlElement | undefined {
  return childrenNamed(root, 'MasterDeviceNames').find((device) =>
    isSameDevice(deviceNamesOf(device), names),
  );
}

/**
 * One description of the two: what the extension has comes first, and stands for what the other calls by the same
 * name. (MIDINameDocument DTD 1.0: an extension has the names of a device and lists, and need not have more.)
 */
function extendedDevice(extension: XmlElement, master: XmlElement): XmlElement {
  const idOf = ({ name, attributes }: XmlElement) => `${name} ${attributes.Name ?? ''}`;
  const own = new Set(extension.children.map(idOf));
  const more = master.children.filter((child) => !NAMING.includes(child.name) && !own.has(idOf(child)));
  return { ...extension, name: master.name, children: [...extension.children, ...more] };
}

/**
 * A document together with the one it extends, where it extends one.
 * @param besides finds that, by the names of its device
 */
export function wholeDocument(
  root: XmlElement,
  besides: (names: DeviceNames) => XmlElement | undefined,
): { readonly root: XmlElement; readonly remarks: readonly string[] } {
  const extension = childrenNamed(root, 'ExtendingDeviceNames')[0];
  if (extension === undefined || childrenNamed(root, 'MasterDeviceNames').length > 0)
    return { root, remarks: [] };
  const names = deviceNamesOf(extension);
  const master = masterOf(besides(names) ?? root, names);
  if (master === undefined) {
    const device = [nameOf(extension), ...childrenNamed(extension, 'Device').map(nameOf)].find(Boolean) ?? '';
    const missing = `the document extends another one, of "${device}", which is not beside it: what that says is missing here`;
    return { root, remarks: [missing] };
  }
  const whole = extendedDevice(extension, master);
  const children = root.children.map((child) => (child === extension ? whole : child));
  return {
    root: { ...root, children },
    remarks: [`it extends the document ${master.file ?? ''}, which was read as well`],
  };
}
