import { childrenNamed, type XmlElement } from './xml-element.ts';

/** A device's maker and model, or what an element calls itself. */
export function nameOf(element: XmlElement): string {
  const words = ['Manufacturer', 'Model'].map((part) => childrenNamed(element, part)[0]?.text.trim() ?? '');
  return (
    words
      .filter((word) => word !== '')
      .join(' ')
      .slice(0, 80) || (element.attributes.Name ?? '').trim()
  );
}
