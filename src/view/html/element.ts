/** Finished markup. Only `element` and its kin make it, so plain text can never act as markup. */
export type Markup = { readonly markup: string };
export type Child = Markup | string | number | null | readonly Child[];
export type Attributes = Readonly<Record<string, string | number | null>>;

const EMPTY = new Set(['br', 'col', 'hr', 'link', 'meta', 'wbr']);

/** Text as a page shows it: markup characters written out, control characters left away. */
export function escapeHtml(text: string): string {
  return text
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff]/g, '')
    .replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, '\ufffd')
    .replace(/[\u202a-\u202e\u2066-\u2069]/g, '')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}

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
