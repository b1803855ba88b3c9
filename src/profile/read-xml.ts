import { SaxesParser } from 'saxes';
import type { XmlElement } from '../core/instrument/name-document/xml-element.ts';
import { Refusal } from '../trouble/refusal.ts';

/** Deeper than any name document is: the DTD allows a dozen levels. The parser itself has no limit. */
const DEEPEST = 64;
/** The largest document met had some ten thousand; a million of them were not written by a person. */
const MOST_ELEMENTS = 200_000;

/**
 * Reads XML into elements. Nothing outside the text is ever fetched, and entities other than XML's own five are
 * refused: a document type is passed over unread.
 * @param file how it is called in a complaint @param beside how each of its elements names it, where it is not the one
 *   that was asked for
 * @throws {Refusal} with file, line and column
 */
export function readXml(text: string, file: string, beside?: string): XmlElement {
  const parser = new SaxesParser<{ position: true; xmlns: false }>({ position: true, xmlns: false });
  const refuse = (what: string, nextStep: string): never => {
    throw new Refusal(what, `${file}:${parser.line}:${parser.column}`, nextStep);
  };
  const from = beside === undefined ? {} : { file: beside };
  const open: XmlElement[] = [];
  let root: XmlElement | undefined;
  let count = 0;
  let line = 1;
  parser.on('error', (error) => {
    const what = error.message.replace(/^\d+:\d+:\s*/, '').replace(/\.$/, '');
    refuse(`this is not XML: ${what}`, 'mend this line');
  });
  parser.on('opentagstart', () => {
    line = parser.line;
  });
  parser.on('opentag', ({ name, attributes }) => {
    count += 1;
    if (count > MOST_ELEMENTS)
      refuse(`there are more than ${MOST_ELEMENTS} elements`, 'take a smaller document');
    if (open.length >= DEEPEST) refuse(`elements lie more than ${DEEPEST} deep`, 'this is no name document');
    const element: XmlElement = { name, attributes, children: [], text: '', line, ...from };
    open.at(-1)?.children.push(element);
    root ??= element;
    open.push(element);
  });
  parser.on('closetag', () => void open.pop());
  parser.on('text', (words) => {
    const top = open.at(-1);
    if (top !== undefined && top.text.length < LONGEST_TEXT) top.text += words;
  });
  parser.write(text).close();
  return root ?? refuse('there is nothing in it', 'name a MIDI name document');
}

const LONGEST_TEXT = 4096;
