/**
 * An XML tree as text, by xml2js.
 *
 * xml2js keeps the members of an object in order but puts all children of one name together. A track alternates clips and gaps,
 * so children are numbered by name (`Clip.3`, `Gap.4`) and the numbers taken off the finished text; no text between tags can look like
 * one of those tags, since every `<` of a text is escaped.
 */

import { Builder } from 'xml2js';
import type { XmlNode } from '../../core/convert/xmlTree.ts';

type Tree = { readonly [name: string]: string | Tree | Readonly<Record<string, string>> };

const NUMBERED_TAG = /(<\/?[A-Za-z]+)\.\d+(?=[\s/>])/g;

/** UTF-8 with a declaration, two blanks a level, a line break at the end. */
export function renderXmlTree(root: XmlNode): string {
  const builder = new Builder({
    xmldec: { version: '1.0', encoding: 'UTF-8' },
    renderOpts: { pretty: true, indent: '  ', newline: '\n' },
    allowSurrogateChars: true,
  });
  return `${builder.buildObject({ [root.name]: treeOf(root) }).replace(NUMBERED_TAG, '$1')}\n`;
}

function treeOf({ attributes, content }: XmlNode): Tree {
  const own: Tree = Object.keys(attributes).length === 0 ? {} : { $: attributes };
  if (typeof content === 'string') return { ...own, _: content };
  return { ...own, ...Object.fromEntries(content.map((child, index) => [`${child.name}.${index}`, treeOf(child)])) };
}
