import { escapeHtml } from '../../text/escape.ts';

/** Finished markup. Only `element` and its kin make it, so plain text can never act as markup. */
export type Markup = { readonly markup: string };
/** What stands in markup; what is left out (`condition && …`) leaves nothing. */
export type Child = Markup | string | number | boolean | null | undefined | readonly Child[];
export type Attributes = Readonly<Record<string, string | number | null>>;

function render(child: Child): string {
  if (child === null || child === undefined || typeof child === 'boolean') return '';
  if (typeof child === 'string') return escapeHtml(child);
  if (typeof child === 'number') return String(child);
  if ('markup' in child) return child.markup;
  return child.map(render).join('');
}

/** One element; text children are escaped, attributes that are null are left out. */
export function element(name: string, attributes: Attributes, ...children: Child[]): Markup {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== null)
    .map(([key, value]) => ` ${key}="${escapeHtml(String(value))}"`)
    .join('');
  return { markup: `<${name}${written}>${render(children)}</${name}>` };
}

/**
 * Markup as it is written: `<p>${words}</p>`. What is put in is escaped, unless it is markup itself; a
 * list is joined. A line break with its indent is of our source and not of the page.
 */
export function html(written: TemplateStringsArray, ...children: Child[]): Markup {
  const texts = written.map((text) => text.replace(/\n\s*/g, ''));
  return { markup: texts.map((text, index) => text + render(children[index])).join('') };
}

/** The attribute of a class, with a space before it; nothing where there is none. */
export const classed = (name: string | null | false): Child => name && html` class="${name}"`;

/** A style sheet of our own; never text from a season. */
export function styleSheet(css: string): Markup {
  return { markup: `<style>${css}</style>` };
}
