/** An element of an XML document, as far as a name document needs it: no namespaces, no order of text and elements. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: XmlElement[];
  /** The character data in it, its children's left out. */
  text: string;
  /** Line on which it begins, from 1. */
  readonly line: number;
  /** The file it stands in, where that is another than the one that was asked for. */
  readonly file?: string;
}

/** `line 12`, and of which file where it is another. */
export function lineOf({ line, file }: XmlElement): string {
  return file === undefined ? `line ${line}` : `line ${line} of ${file}`;
}

export function childrenNamed(element: XmlElement, name: string): XmlElement[] {
  return element.children.filter((child) => child.name === name);
}

/** Every element of a name inside another, however deep, in the document's order. */
export function descendantsNamed(element: XmlElement, name: string): XmlElement[] {
  const found: XmlElement[] = [];
  const look = (at: XmlElement): void => {
    for (const child of at.children) {
      if (child.name === name) found.push(child);
      if (child.children.length > 0) look(child);
    }
  };
  look(element);
  return found;
}

/** All elements inside another by their name: one walk where several names are asked for. */
export function descendantsByName(element: XmlElement): ReadonlyMap<string, readonly XmlElement[]> {
  const found = new Map<string, XmlElement[]>();
  const look = (at: XmlElement): void => {
    for (const child of at.children) {
      const alike = found.get(child.name);
      if (alike === undefined) found.set(child.name, [child]);
      else alike.push(child);
      if (child.children.length > 0) look(child);
    }
  };
  look(element);
  return found;
}

/** An attribute that is a whole number from `least` to `most`; undefined for anything else. */
export function numberIn(
  element: XmlElement,
  attribute: string,
  least: number,
  most: number,
): number | undefined {
  const text = element.attributes[attribute]?.trim() ?? '';
  const value = /^\d{1,9}$/.test(text) ? Number(text) : Number.NaN;
  return value >= least && value <= most ? value : undefined;
}
