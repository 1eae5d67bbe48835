import { isDeepStrictEqual } from 'node:util';
import {
  type Document,
  isMap,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  Scalar,
  stringify,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import type { YamlPath } from './yaml-limits.ts';

/*
 * Edits a keeper's YAML as text: the parser says where each value stands, and only those characters
 * are exchanged. What is not edited is kept byte for byte: comments, order, quotes, blank lines,
 * line ends. Printing the parsed document again, which the library offers, keeps comments but lays
 * everything out its own way.
 *
 * Every edit is read back and compared with what was asked; a document too unusual for an edit
 * (anchors, tags, a key that is no text) is refused rather than changed in a way nobody asked for.
 */

export type YamlValue =
  | string
  | number
  | boolean
  | null
  | readonly YamlValue[]
  | { readonly [key: string]: YamlValue };

/** Thrown when an edit cannot be made without changing something else. */
export class YamlEditRefused extends Error {
  override readonly name = 'YamlEditRefused';
}

/**
 * Sets the value at a path, adding keys that are missing. A mapping or list there is brought to the
 * new value piece by piece, so that what stays the same keeps its looks and its comments. An item of a
 * list is known again by the first value of a mapping (`set: D1`), or as itself; comments of one that
 * is taken out stay where they were.
 */
export function setIn(text: string, path: YamlPath, value: YamlValue): string {
  return checked(
    text,
    (before) => withIn(before, path, value),
    () => reconcile(text, path, value),
  );
}

/** Takes out the value at a path with its key; comments beside it stay as lines of their own. */
export function removeIn(text: string, path: YamlPath): string {
  if (path.length === 0 || valueIn(parse(text).toJS(), path) === undefined) return text;
  return checked(
    text,
    (before) => withoutIn(before, path),
    () => removeAt(text, path),
  );
}

/** What an item of a list is known again by. */
function nameOf(item: YamlValue): string | null {
  if (item === null || typeof item !== 'object') return String(item);
  const [first] = Object.values(item);
  return typeof first === 'string' || typeof first === 'number' ? String(first) : null;
}

// The plain values before and after, to hold an edit against.

function checked(text: string, expect: (before: unknown) => unknown, edit: () => string): string {
  const before = parse(text).toJS() as unknown;
  const edited = edit();
  const after = parseDocument(edited, { version: '1.2', schema: 'core' });
  if (after.errors.length > 0 || !isDeepStrictEqual(plain(after.toJS()), plain(expect(before)))) {
    throw new YamlEditRefused(
      'the file is laid out in a way that cannot be edited without changing something else',
    );
  }
  return edited;
}

/** Values with prototypes and `-0` of no account. */
function plain(value: unknown): unknown {
  return value === undefined ? null : JSON.parse(JSON.stringify(value));
}

function valueIn(value: unknown, path: YamlPath): unknown {
  return path.reduce<unknown>(
    (one, key) =>
      one !== null && typeof one === 'object' && Object.hasOwn(one, key)
        ? (one as Record<string | number, unknown>)[key]
        : undefined,
    value,
  );
}

function withIn(value: unknown, path: YamlPath, wanted: unknown): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return wanted;
  if (Array.isArray(value)) {
    const out: unknown[] = [...value];
    out[Number(key)] = withIn(out[Number(key)], rest, wanted);
    return out;
  }
  const entries = value !== null && typeof value === 'object' ? Object.entries(value) : [];
  const out = new Map<string, unknown>(entries);
  out.set(String(key), withIn(out.get(String(key)), rest, wanted));
  return Object.fromEntries(out);
}

function withoutIn(value: unknown, path: YamlPath): unknown {
  const [key, ...rest] = path as [string | number, ...(string | number)[]];
  if (rest.length > 0) return withIn(value, [key], withoutIn(valueIn(value, [key]), rest));
  if (Array.isArray(value)) return value.filter((_, index) => index !== Number(key));
  return Object.fromEntries(
    Object.entries(value as object).filter(([name]) => name !== String(key)),
  );
}

// Bringing a value to another, step by step. Each step reads the text again, so places always fit.

function reconcile(text: string, path: YamlPath, value: YamlValue): string {
  const document = parse(text);
  const present = valueIn(document.toJS(), path);
  if (present === undefined) return addAt(text, path, value);
  if (isDeepStrictEqual(plain(present), plain(value))) return text;
  const node = nodeAt(document, path);
  if (Array.isArray(value) && isSeq(node)) {
    return reconcileList(text, path, present as YamlValue[], value as YamlValue[]);
  }
  if (isObject(value) && isMap(node)) {
    let out = text;
    for (const [key, one] of Object.entries(value)) out = reconcile(out, [...path, key], one);
    for (const key of Object.keys(present as object)) {
      if (!Object.hasOwn(value, key)) out = removeAt(out, [...path, key]);
    }
    return out;
  }
  return replaceAt(text, path, value);
}

function reconcileList(
  text: string,
  path: YamlPath,
  present: readonly YamlValue[],
  wanted: readonly YamlValue[],
): string {
  const left = present.map((item) => ({ item, name: nameOf(item) }));
  // For each wanted item the present one it continues: an equal one, else one of the same name.
  const continued = wanted.map((item) => take(left, (one) => isDeepStrictEqual(one.item, item)));
  wanted.forEach((item, index) => {
    const name = nameOf(item);
    if (name !== null) continued[index] ??= take(left, (one) => one.name === name);
  });
  const kept = new Set(inOrder(continued));
  let out = text;
  for (let index = present.length - 1; index >= 0; index -= 1) {
    if (!kept.has(index)) out = removeAt(out, [...path, index]);
  }
  wanted.forEach((item, index) => {
    const before = continued[index] ?? null;
    out =
      before !== null && kept.has(before)
        ? reconcile(out, [...path, index], item)
        : insertItem(out, path, index, item);
  });
  return out;
}

function take<T>(list: (T | null)[], fits: (one: T) => boolean): number | null {
  const index = list.findIndex((one) => one !== null && fits(one));
  if (index === -1) return null;
  list[index] = null;
  return index;
}

/** The longest run of present items that the wanted order leaves in order; the others are moved. */
function inOrder(continued: readonly (number | null)[]): number[] {
  const best: number[][] = [];
  continued.forEach((one, index) => {
    best[index] = [];
    if (one === null) return;
    let longest: number[] = [];
    for (let before = 0; before < index; before += 1) {
      const run = best[before]!;
      if (run.length > longest.length && run.at(-1)! < one) longest = run;
    }
    best[index] = [...longest, one];
  });
  return best.reduce((longest, run) => (run.length > longest.length ? run : longest), []);
}

// Single edits of the text.

function parse(text: string): Document.Parsed {
  const document = parseDocument(text, { version: '1.2', schema: 'core', keepSourceTokens: true });
  if (document.errors.length > 0) throw new YamlEditRefused('the file is not sound YAML');
  return document;
}

function nodeAt(document: Document.Parsed, path: YamlPath): Node | null {
  const node = path.length === 0 ? document.contents : document.getIn(path, true);
  return (node as Node | undefined) ?? null;
}

function splice(text: string, from: number, to: number, put: string): string {
  const lineEnd = /\r\n/.test(text) ? '\r\n' : '\n';
  return text.slice(0, from) + put.replace(/\r?\n/g, lineEnd) + text.slice(to);
}

const flow = (value: YamlValue, type?: Scalar.Type): string => {
  let node: unknown = value;
  if (typeof value === 'string' && (type === 'QUOTE_DOUBLE' || type === 'QUOTE_SINGLE')) {
    const scalar = new Scalar(value);
    scalar.type = type;
    node = scalar;
  }
  return stringify(node, {
    version: '1.2',
    schema: 'core',
    collectionStyle: 'flow',
    flowCollectionPadding: false,
    lineWidth: 0,
    blockQuote: false,
    aliasDuplicateObjects: false,
  }).trimEnd();
};

function replaceAt(text: string, path: YamlPath, value: YamlValue): string {
  const document = parse(text);
  const node = nodeAt(document, path);
  if (node?.range == null) return splice(text, text.length, text.length, blockOf(value, ''));
  const [start, end] = node.range;
  const key = keyAt(document, path);
  if ((isMap(node) || isSeq(node)) && !node.flow) {
    const last = lineEndAfter(text, contentEnd(text, node));
    const comments = commentsWithin(document, start, last);
    if (key === null) return splice(text, start, last, `${flow(value)}\n${lines(comments, '')}`);
    // The value moves up beside its key; what stood between key and value stays below it.
    const colon = colonAfter(text, key);
    const indent = indentAt(text, start);
    const cut = splice(text, lineStart(text, start), last, lines(comments, indent));
    return splice(cut, colon, colon, ` ${flow(value)}`);
  }
  if (end > start && text[end - 1] === '\n') {
    // A block text: it ends with its line.
    const comments = commentsWithin(document, start, end);
    return splice(text, start, end, `${flow(value)}\n${lines(comments, '')}`);
  }
  if (start === end) {
    // Nothing is written there: the value goes beside its key or dash.
    const at = key === null ? dashBefore(document, path) + 1 : colonAfter(text, key);
    return splice(text, at, at, ` ${flow(value)}`);
  }
  const put = flow(value, isScalar(node) ? node.type : undefined);
  return withComments(splice(text, start, end, put), start, commentsWithin(document, start, end));
}

function dashBefore(document: Document.Parsed, path: YamlPath): number {
  const list = nodeAt(document, path.slice(0, -1));
  if (!isSeq(list) || list.flow) throw new YamlEditRefused('a value is written in an unusual way');
  return dashesOf(list as YAMLSeq<Node>)[Number(path.at(-1))]!;
}

function addAt(text: string, path: YamlPath, value: YamlValue): string {
  const document = parse(text);
  const key = path.at(-1)!;
  const parentPath = path.slice(0, -1);
  const parent = nodeAt(document, parentPath);
  if (isSeq(parent)) return insertItem(text, parentPath, parent.items.length, value);
  if (isMap(parent)) return addKey(text, parent, String(key), value);
  if (path.length === 1) return addToEmpty(text, String(key), value);
  const around = { [String(key)]: value };
  const present = valueIn(document.toJS(), parentPath);
  if (present === undefined) return addAt(text, parentPath, around);
  if (present === null) return replaceAt(text, parentPath, around);
  throw new YamlEditRefused(`${parentPath.join(' › ')} is neither a mapping nor a list`);
}

function addToEmpty(text: string, key: string, value: YamlValue): string {
  const gap = text === '' || text.endsWith('\n') ? '' : '\n';
  return splice(text, text.length, text.length, `${gap}${keyLine(key, value, '')}\n`);
}

function addKey(text: string, map: YAMLMap, key: string, value: YamlValue): string {
  const last = map.items.at(-1) as Pair<Node, Node | null> | undefined;
  if (map.flow) {
    const put = `${flow(key)}: ${flow(value)}`;
    if (last === undefined) return splice(text, map.range![0] + 1, map.range![0] + 1, put);
    const end = pairEnd(text, last);
    return splice(text, end, end, `, ${put}`);
  }
  const indent = columnOf(text, (map.items[0] as Pair<Node>).key.range![0]);
  return insertLine(text, pairEnd(text, last!), keyLine(key, value, indent));
}

/** A key with its value: a list of mappings goes below it, item by item, all else beside it. */
function keyLine(key: string, value: YamlValue, indent: string): string {
  if (Array.isArray(value) && value.length > 0 && value.some(isObject)) {
    return `${indent}${flow(key)}:\n${blockOf(value, `${indent}  `)}`.trimEnd();
  }
  return `${indent}${flow(key)}: ${flow(value)}`;
}

function blockOf(value: YamlValue, indent: string): string {
  if (Array.isArray(value) && value.length > 0) {
    return value.map((item: YamlValue) => `${indent}- ${flow(item)}\n`).join('');
  }
  if (isObject(value) && Object.keys(value).length > 0) {
    return Object.entries(value)
      .map(([key, one]) => `${keyLine(key, one, indent)}\n`)
      .join('');
  }
  return `${indent}${flow(value)}\n`;
}

function insertItem(text: string, path: YamlPath, index: number, value: YamlValue): string {
  const document = parse(text);
  const list = nodeAt(document, path) as YAMLSeq<Node>;
  const { items } = list;
  if (list.flow) {
    const [start, end] = list.range!;
    if (items.length === 0) {
      const key = keyAt(document, path);
      const inside = text.slice(start + 1, end - 1);
      if (key !== null && isObject(value) && inside.trim() === '' && isInBlock(document, path)) {
        // An empty list that gets mappings is laid out item by item, as a keeper would.
        const indent = `${indentAt(text, key.range![0])}  `;
        const colon = colonAfter(text, key);
        const cut = text.slice(0, colon) + text.slice(end);
        return insertLine(cut, colon, `${indent}- ${flow(value)}`);
      }
      return splice(text, start + 1, start + 1, flow(value));
    }
    if (index === 0) return splice(text, start + 1, start + 1, `${flow(value)}, `);
    const before = contentEnd(text, items[index - 1]!);
    return splice(text, before, before, `, ${flow(value)}`);
  }
  const dashes = dashesOf(list);
  const indent = columnOf(text, dashes[0]!);
  if (index === 0) return splice(text, dashes[0]!, dashes[0]!, `- ${flow(value)}\n${indent}`);
  return insertLine(text, itemEnd(text, list, dashes, index - 1), `${indent}- ${flow(value)}`);
}

function removeAt(text: string, path: YamlPath): string {
  const document = parse(text);
  const key = path.at(-1)!;
  const parentPath = path.slice(0, -1);
  const parent = nodeAt(document, parentPath);
  if (isMap(parent)) {
    const index = parent.items.findIndex((pair) => isKey(pair as Pair<Node>, String(key)));
    const pairs = parent.items as Pair<Node, Node | null>[];
    if (pairs.length === 1) return replaceAt(text, parentPath, {});
    const spans = pairs.map((pair) => [pair.key.range![0], pairEnd(text, pair)] as const);
    return parent.flow
      ? cutFlow(text, document, spans, index)
      : cutBlock(text, document, spans, index);
  }
  if (!isSeq(parent)) return text;
  const items = parent.items as Node[];
  const index = Number(key);
  if (items.length === 1) return replaceAt(text, parentPath, []);
  if (parent.flow) {
    return cutFlow(
      text,
      document,
      items.map((item) => [item.range![0], contentEnd(text, item)] as const),
      index,
    );
  }
  const dashes = dashesOf(parent as YAMLSeq<Node>);
  const spans = dashes.map(
    (dash, at) => [dash, itemEnd(text, parent as YAMLSeq<Node>, dashes, at)] as const,
  );
  return cutBlock(text, document, spans, index);
}

type TextSpan = readonly [number, number];

function cutBlock(
  text: string,
  document: Document.Parsed,
  spans: readonly TextSpan[],
  index: number,
): string {
  const [start, end] = spans[index]!;
  const indent = columnOf(text, start);
  const stop = lineEndAfter(text, end);
  if (index > 0 || text.slice(lineStart(text, start), start).trim() === '') {
    const comments = commentsWithin(document, start, stop);
    return splice(text, lineStart(text, start), stop, lines(comments, indent));
  }
  // The first of several, on the line of its parent's dash: the next one moves up to it.
  const next = spans[index + 1]![0];
  const after = lineEndAfter(text, spans[index + 1]![1]);
  const comments = commentsWithin(document, start, next);
  return splice(text, start, after, text.slice(next, after) + lines(comments, indent));
}

function cutFlow(
  text: string,
  document: Document.Parsed,
  spans: readonly TextSpan[],
  index: number,
): string {
  const [start, end] = spans[index]!;
  const next = spans[index + 1];
  const [from, to] = next === undefined ? [spans[index - 1]![1], end] : [start, next[0]];
  const cut = text.slice(0, from) + text.slice(to);
  return withComments(cut, from, commentsWithin(document, from, to));
}

// Places.

function isObject(value: unknown): value is { readonly [key: string]: YamlValue } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isKey(pair: Pair<Node>, key: string): boolean {
  return isScalar(pair.key) && String(pair.key.value) === key;
}

function keyAt(document: Document.Parsed, path: YamlPath): Node | null {
  const parent = path.length === 0 ? null : nodeAt(document, path.slice(0, -1));
  if (!isMap(parent)) return null;
  const pair = (parent.items as Pair<Node>[]).find((one) => isKey(one, String(path.at(-1))));
  return pair?.key ?? null;
}

/** True when no mapping or list around the value at a path is written in brackets. */
function isInBlock(document: Document.Parsed, path: YamlPath): boolean {
  return path.every((_, length) => {
    const node = nodeAt(document, path.slice(0, length));
    return (isMap(node) || isSeq(node)) && !node.flow;
  });
}

function lineStart(text: string, at: number): number {
  return text.lastIndexOf('\n', at - 1) + 1;
}

/** Just after the newline that ends the line; a text that ended at a newline has ended its line. */
function lineEndAfter(text: string, at: number): number {
  if (at > 0 && text[at - 1] === '\n') return at;
  const next = text.indexOf('\n', at);
  return next === -1 ? text.length : next + 1;
}

/** Spaces as wide as what stands before a place on its line. */
function columnOf(text: string, at: number): string {
  return ' '.repeat(at - lineStart(text, at));
}

/** The spaces that begin a line. */
function indentAt(text: string, at: number): string {
  return /^ */.exec(text.slice(lineStart(text, at), at))![0];
}

function colonAfter(text: string, key: Node): number {
  const from = key.range![1];
  const colon = /^[ \t]*:/.exec(text.slice(from));
  if (colon === null) throw new YamlEditRefused('a key is written in an unusual way');
  return from + colon[0].length;
}

/** Where the characters of a value end: before comments and blank lines that follow it. */
function contentEnd(text: string, node: Node): number {
  if (isMap(node) && !node.flow) return pairEnd(text, node.items.at(-1) as Pair<Node, Node | null>);
  if (isSeq(node) && !node.flow) {
    const list = node as YAMLSeq<Node>;
    return itemEnd(text, list, dashesOf(list), list.items.length - 1);
  }
  return node.range![1];
}

function pairEnd(text: string, pair: Pair<Node, Node | null>): number {
  const { key, value } = pair;
  if (value?.range != null && (value.range[1] > value.range[0] || isMap(value) || isSeq(value))) {
    return contentEnd(text, value);
  }
  const colon = /^[ \t]*:/.exec(text.slice(key.range![1]));
  return key.range![1] + (colon?.[0].length ?? 0);
}

function itemEnd(
  text: string,
  list: YAMLSeq<Node>,
  dashes: readonly number[],
  index: number,
): number {
  const item = list.items[index]!;
  return item.range![1] > item.range![0] ? contentEnd(text, item) : dashes[index]! + 1;
}

type Token = { readonly type?: string; readonly offset?: number; readonly source?: string };

function dashesOf(list: YAMLSeq<Node>): number[] {
  const tokens = (list.srcToken as unknown as { items: { start: Token[] }[] }).items;
  return tokens.flatMap(({ start }) =>
    start.filter(({ type }) => type === 'seq-item-ind').map(({ offset }) => offset!),
  );
}

/** Puts a line below the line on which the content before it ends. */
function insertLine(text: string, after: number, line: string): string {
  const end = lineEndAfter(text, after);
  const gap = end === 0 || text[end - 1] === '\n' ? '' : '\n';
  return splice(text, end, end, `${gap}${line}\n`);
}

// Comments.

function lines(comments: readonly string[], indent: string): string {
  return comments.map((comment) => `${indent}${comment}\n`).join('');
}

/** The comments that begin within a stretch of the text, in order. */
function commentsWithin(document: Document.Parsed, from: number, to: number): string[] {
  const found: string[] = [];
  const walk = (token: unknown): void => {
    if (Array.isArray(token)) token.forEach(walk);
    else if (token !== null && typeof token === 'object') {
      const { type, offset, source } = token as Token;
      if (type !== 'comment') Object.values(token).forEach(walk);
      else if (offset! >= from && offset! < to) found.push(source!);
    }
  };
  walk(document.contents?.srcToken);
  return found;
}

/** Puts comments above the line in which the brackets around a place begin. */
function withComments(text: string, at: number, comments: readonly string[]): string {
  if (comments.length === 0) return text;
  const document = parse(text);
  let start = at;
  const climb = (node: Node | null): void => {
    if (node?.range == null || at < node.range[0] || at > node.range[2]) return;
    if ((isMap(node) || isSeq(node)) && node.flow) start = Math.min(start, node.range[0]);
    else if (isMap(node)) {
      for (const pair of node.items as Pair<Node, Node | null>[]) climb(pair.value);
    } else if (isSeq(node)) (node.items as Node[]).forEach(climb);
  };
  climb(document.contents);
  const line = lineStart(text, start);
  return splice(text, line, line, lines(comments, indentAt(text, start)));
}
