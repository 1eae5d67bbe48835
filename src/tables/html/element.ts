import { escapeHtml } from '../../text/escape.ts';

/** Finished markup. Only `element` and its kin make it, so plain text can never act as markup. */
export type Markup = { readonly markup: string };
export type Child = Markup | string | number | null | readonly Child[];
export type Attributes = Readonly<Record<string, string | number | null>>;

const EMPTY = new Set(['br', 'col', 'hr', 'link', 'meta', 'wbr']);

function render(child: Child): string {
  if (child === null) return '';
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
  if (EMPTY.has(name)) return { markup: `<${name}${written}>` };
  return { markup: `<${name}${written}>${render(children)}</${name}>` };
}

/** Several pieces as one. */
export function together(...children: Child[]): Markup {
  return { markup: render(children) };
}

/** A style sheet of our own; never text from a season. */
export function styleSheet(css: string): Markup {
  return { markup: `<style>${css}</style>` };
}
