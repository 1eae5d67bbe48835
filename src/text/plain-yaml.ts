import { headOf, type Place, placeAt, type Source } from './source.ts';
import { YAML_LIMITS, type YamlPath } from './yaml-limits.ts';

/** A plain file read: its value, and where each part of it stands. */
export type PlainYaml = {
  readonly value: unknown;
  placeOf(path: YamlPath): Place;
};

/** A value, the offset it begins at, and its parts. */
type PlainPart = {
  readonly value: unknown;
  readonly at: number;
  /** Offset of its key; that of the value itself where it has none. */
  readonly keyAt: number;
  /** True for a mapping or list of lines, not of brackets. */
  readonly isBlock: boolean;
  /** Those of a mapping by key, those of a list in order. */
  readonly parts: ReadonlyMap<string, PlainPart> | readonly PlainPart[] | null;
};

/** Ends the reading: the file is not plain. */
class NotPlain extends Error {}

// What stands outside of these needs the whole of YAML.
const CONTROL = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028\u2029\ufeff]/;
// (Letters beyond ASCII as a range: \p{L} takes a millisecond to compile.)
const KEY = /[A-Za-z\xa1-\uffff][\w\xa1-\uffff.'-]*(?: [\w\xa1-\uffff.'-]+)*(?=:(?: |\n))/y;
const WORDS_OF_LINE = /[A-Za-z\xa1-\uffff][\w\xa1-\uffff.,'()/+-]*(?: +[\w\xa1-\uffff.,'()/+-]+)*/y;
const WORDS_IN_BRACKETS =
  /[A-Za-z\xa1-\uffff][\w\xa1-\uffff.'()/+-]*(?: +[\w\xa1-\uffff.'()/+-]+)*/y;
const NUMBER = /-?(?:0|[1-9]\d{0,11})(?:\.\d{1,12})?(?=[ \n,\]}])/y;
const DAY = /\d{4}-\d{2}-\d{2}(?=[ \n,\]}])/y;
const QUOTED = /"[^"\\\n]*"|'[^'\n]*'(?!')/y;
const PATH = /\.\.?\/[\w\xa1-\uffff./-]*/y;
const SPACE_AND_COMMENT = / *(?:(?<=[ \n])#[^\n]*)?/y;
const EMPTY_LINES = /(?: *(?:#[^\n]*)?\n)*/y;
/** Words that YAML takes for something else than a text. */
const MEANT_OTHERWISE = /^(?:null|true|false)$/i;

/**
 * Reads a YAML file as keepers write them: mappings and lists, by lines or in brackets, of plain
 * words, numbers, days and simple quoted texts. Null if there is anything else in it, or anything
 * wrong: then `readYaml` reads it whole, and tells. A property test holds this one equal to that
 * one, which takes as long as Node's own start to be loaded and to read a season.
 */
export function readPlainYaml(source: Source): PlainYaml | null {
  const { text } = source;
  // A part has a character at least: so short a text cannot have too many.
  if (text.length > YAML_LIMITS.parts || !text.endsWith('\n') || CONTROL.test(text)) return null;
  let root: PlainPart;
  try {
    root = new Reader(text).whole();
  } catch (error) {
    if (error instanceof NotPlain) return null;
    throw error;
  }
  return { value: root.value, placeOf: (path) => placeIn(source, root, path) };
}

class Reader {
  readonly #text: string;
  #at = 0;
  #depth = 0;
  /** Indent of the lines that brackets stand in: their own further lines are indented deeper. */
  #around = 0;

  constructor(text: string) {
    this.#text = text;
  }

  whole(): PlainPart {
    this.#match(EMPTY_LINES);
    const part = this.#lines(0, 0);
    if (this.#at < this.#text.length) throw new NotPlain();
    return part;
  }

  /** The text that a pattern finds here, which is passed over; null if it finds none. */
  #match(pattern: RegExp): string | null {
    const from = this.#at;
    pattern.lastIndex = from;
    if (!pattern.test(this.#text)) return null;
    this.#at = pattern.lastIndex;
    return this.#text.slice(from, this.#at);
  }

  /** The text that a pattern finds here: nothing else can be meant. */
  #needed(pattern: RegExp): string {
    const found = this.#match(pattern);
    if (found === null) throw new NotPlain();
    return found;
  }

  #next(): string | undefined {
    return this.#text[this.#at];
  }

  /** Passes over the end of a line, its comment, and empty lines. */
  #endOfLine(): void {
    this.#match(SPACE_AND_COMMENT);
    if (this.#next() !== '\n') throw new NotPlain();
    this.#at += 1;
    this.#match(EMPTY_LINES);
  }

  /** Spaces before the first character of the line that begins here. */
  #indent(): number {
    let count = 0;
    while (this.#text[this.#at + count] === ' ') count += 1;
    return this.#at + count < this.#text.length ? count : -1;
  }

  // The readers of a part are told the offset of its key: a part is made once, whole.

  /** A mapping or list of lines, each indented by `indent`; begins at the start of a line. */
  #lines(keyAt: number, indent: number): PlainPart {
    if (this.#indent() !== indent) throw new NotPlain();
    this.#at += indent;
    return this.#block(keyAt, indent);
  }

  /** The same from its first character on, which stands in column `indent`. */
  #block(keyAt: number, indent: number): PlainPart {
    this.#depth += 1;
    if (this.#depth > YAML_LIMITS.depth / 2) throw new NotPlain();
    const isList = this.#next() === '-' && this.#text[this.#at + 1] === ' ';
    const part = isList ? this.#list(keyAt, indent) : this.#mapping(keyAt, indent);
    this.#depth -= 1;
    return part;
  }

  /** True, and the line's indent passed over, if one more line of this block follows. */
  #more(indent: number, isList: boolean): boolean {
    const found = this.#indent();
    if (found > indent) throw new NotPlain();
    if (found < indent) return false;
    const dash = this.#text[this.#at + indent] === '-';
    if (dash !== isList) {
      // A list may stand below its key without indent, and the next key ends it.
      if (isList) return false;
      throw new NotPlain();
    }
    this.#at += indent;
    return true;
  }

  #list(keyAt: number, indent: number): PlainPart {
    const at = this.#at;
    const value: unknown[] = [];
    const parts: PlainPart[] = [];
    do {
      if (this.#next() !== '-') throw new NotPlain();
      const dash = this.#at;
      this.#at += 1;
      while (this.#next() === ' ') this.#at += 1;
      // A dash that touches what follows begins a word, not a part of the list.
      if (this.#at === dash + 1) throw new NotPlain();
      KEY.lastIndex = this.#at;
      const part = KEY.test(this.#text)
        ? this.#block(this.#at, indent + this.#at - dash)
        : this.#restOfLine(this.#at, indent);
      parts.push(part);
      value.push(part.value);
    } while (this.#more(indent, true));
    return { value, at, keyAt, isBlock: true, parts };
  }

  #mapping(keyAt: number, indent: number): PlainPart {
    const at = this.#at;
    const value: Record<string, unknown> = {};
    const parts = new Map<string, PlainPart>();
    do {
      const from = this.#at;
      const key = this.#key(parts);
      const colon = this.#at;
      this.#match(SPACE_AND_COMMENT);
      let part: PlainPart;
      if (this.#next() === '\n') {
        this.#at += 1;
        this.#match(EMPTY_LINES);
        const inner = this.#indent();
        const isList = this.#text[this.#at + inner] === '-';
        if (inner < indent || (inner === indent && !isList)) throw new NotPlain();
        part = this.#lines(from, inner);
      } else {
        this.#at = colon;
        while (this.#next() === ' ') this.#at += 1;
        part = this.#restOfLine(from, indent);
      }
      parts.set(key, part);
      value[key] = part.value;
    } while (this.#more(indent, false));
    return { value, at, keyAt, isBlock: true, parts };
  }

  /** A key and its colon. */
  #key(before: ReadonlyMap<string, PlainPart>): string {
    const key = this.#match(KEY);
    if (key === null || before.has(key) || MEANT_OTHERWISE.test(key)) throw new NotPlain();
    this.#at += 1;
    return key;
  }

  /** The value after a key or dash of a block, and the end of its line. */
  #restOfLine(keyAt: number, indent: number): PlainPart {
    this.#around = indent;
    const part = this.#inline(keyAt, WORDS_OF_LINE);
    this.#endOfLine();
    return part;
  }

  /** A value that begins on this line: of brackets, or one text or number. */
  #inline(keyAt: number, words: RegExp): PlainPart {
    const next = this.#next();
    if (next === '{' || next === '[') {
      this.#depth += 1;
      if (this.#depth > YAML_LIMITS.depth / 2) throw new NotPlain();
      const part = next === '{' ? this.#mappingInBrackets(keyAt) : this.#listInBrackets(keyAt);
      this.#depth -= 1;
      return part;
    }
    const at = this.#at;
    const value = this.#scalar(words);
    return { value, at, keyAt, isBlock: false, parts: null };
  }

  #scalar(words: RegExp): string | number | boolean {
    const first = this.#next() ?? '';
    if (first === '"' || first === "'") return this.#needed(QUOTED).slice(1, -1);
    if (first === '.') return this.#needed(PATH);
    if (first === '-' || (first >= '0' && first <= '9'))
      return this.#match(DAY) ?? Number(this.#needed(NUMBER));
    const text = this.#needed(words);
    if (text === 'true') return true;
    if (text === 'false') return false;
    if (MEANT_OTHERWISE.test(text)) throw new NotPlain();
    return text;
  }

  /** Passes over spaces, line ends and comments between brackets. */
  #gap(): void {
    for (;;) {
      // One space or none is nearly all there is.
      if (this.#next() === ' ') this.#at += 1;
      const next = this.#next();
      if (next !== ' ' && next !== '#' && next !== '\n') return;
      this.#match(SPACE_AND_COMMENT);
      if (this.#next() !== '\n') return;
      this.#at += 1;
      this.#match(EMPTY_LINES);
      if (this.#indent() <= this.#around) throw new NotPlain();
    }
  }

  /** True if a comma says that more follows, false at the closing bracket, which is passed over. */
  #afterPart(close: string): boolean {
    this.#gap();
    const next = this.#next();
    if (next !== ',' && next !== close) throw new NotPlain();
    this.#at += 1;
    if (next === close) return false;
    this.#gap();
    if (this.#next() === close) throw new NotPlain();
    return true;
  }

  #listInBrackets(keyAt: number): PlainPart {
    const at = this.#at;
    const value: unknown[] = [];
    const parts: PlainPart[] = [];
    this.#at += 1;
    this.#gap();
    if (this.#next() === ']') this.#at += 1;
    else
      do {
        const part = this.#inline(this.#at, WORDS_IN_BRACKETS);
        parts.push(part);
        value.push(part.value);
      } while (this.#afterPart(']'));
    return { value, at, keyAt, isBlock: false, parts };
  }

  #mappingInBrackets(keyAt: number): PlainPart {
    const at = this.#at;
    const value: Record<string, unknown> = {};
    const parts = new Map<string, PlainPart>();
    this.#at += 1;
    this.#gap();
    if (this.#next() === '}') this.#at += 1;
    else
      do {
        const from = this.#at;
        const key = this.#key(parts);
        this.#gap();
        const part = this.#inline(from, WORDS_IN_BRACKETS);
        parts.set(key, part);
        value[key] = part.value;
      } while (this.#afterPart('}'));
    return { value, at, keyAt, isBlock: false, parts };
  }
}

/** Where the value at a path stands; climbs to the nearest parent that is there. */
function placeIn(source: Source, root: PlainPart, path: YamlPath): Place {
  let part = root;
  let isThere = true;
  for (const step of path) {
    const inner = partAt(part, step);
    isThere = inner !== undefined;
    if (inner === undefined) break;
    part = inner;
  }
  // A block begins at its first line; its key is the better place to point at.
  const at = isThere && part.isBlock && typeof path.at(-1) === 'string' ? part.keyAt : part.at;
  return at < source.text.length ? placeAt(source, at) : headOf(source.path);
}

function partAt({ parts }: PlainPart, step: string | number): PlainPart | undefined {
  if (parts instanceof Map) return parts.get(step);
  return typeof step === 'number' ? (parts as readonly PlainPart[] | null)?.[step] : undefined;
}
