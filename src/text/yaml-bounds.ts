import { Lexer } from 'yaml';
import { expectedFound, type Fault, fault } from './fault.ts';
import { headOf, placeAt, type Source } from './source.ts';
import { YAML_LIMITS } from './yaml-limits.ts';

/** The most faults of one kind that are told. */
const MOST_TOLD = 50;

/** Signs of the lexer that stand for nothing in the text. */
const NO_TEXT = new Set(['\u0002', '\u0018', '\u001f']);

/**
 * What must not be parsed: a text that is too long, too deep or has too many parts, whose parsing
 * would take the longer the more, and what a season file does not use: anchors, aliases, tags, a
 * second document. One pass over the tokens, which ends at the first bound that is passed.
 */
export function boundsOfYaml(source: Source): Fault[] {
  const { text } = source;
  if (text.length > YAML_LIMITS.characters) {
    return [
      fault(
        'file-too-large',
        headOf(source.path),
        `expected at most ${YAML_LIMITS.characters} characters, found ${text.length}`,
      ),
    ];
  }
  const faults: Fault[] = [];
  const lineOf = new Map<Fault['code'], number>();
  let told = 0;
  /** One fault a line: a line full of them is one thing to mend. */
  const tell = (code: Fault['code'], at: number, message: string, hint: string): void => {
    const place = placeAt(source, at);
    if (lineOf.get(code) === place.line || told >= MOST_TOLD) return;
    lineOf.set(code, place.line);
    told += 1;
    faults.push(fault(code, place, message, { hint }));
  };
  let at = 0;
  let flow = 0;
  let parts = 0;
  /** Columns at which the mappings and lists of lines begin that a token stands in. */
  const blocks: number[] = [];
  let lineStart = 0;
  let isLineStart = true;
  let hasContent = false;
  for (const token of new Lexer().lex(text)) {
    if (NO_TEXT.has(token)) continue;
    const first = token[0]!;
    if (first !== ' ') parts += 1;
    const column = at - lineStart;
    if (first !== '\n' && first !== ' ' && first !== '\r' && first !== '\t' && first !== '#') {
      if (flow === 0 && (isLineStart || token === '-' || token === '?')) {
        while (blocks.length > 0 && blocks.at(-1)! >= column) blocks.pop();
        blocks.push(column);
      }
      isLineStart = false;
    }
    if (token === '[' || token === '{') flow += 1;
    else if (token === ']' || token === '}') flow = Math.max(0, flow - 1);
    else if (first === '*')
      tell('yaml-alias', at, 'aliases (*name) are not read here', 'write the value out');
    else if (first === '&')
      tell(
        'yaml-alias',
        at,
        'anchors (&name) are not read here',
        'delete it, and write the value out where it is used',
      );
    else if (first === '!')
      tell('yaml-tag', at, 'tags (!name) are not read here', 'write the value without it');
    else if (token === '---') {
      if (hasContent)
        tell(
          'yaml-syntax',
          at,
          'cannot be read as YAML: a second document begins here',
          'delete the line --- or what stands before it',
        );
    }
    if (first !== '#' && first !== '\n' && first !== ' ' && first !== '%') hasContent = true;
    if (flow + blocks.length > YAML_LIMITS.depth) {
      return [
        fault(
          'yaml-too-deep',
          placeAt(source, at),
          `nested deeper than ${YAML_LIMITS.depth} levels`,
        ),
      ];
    }
    if (parts > YAML_LIMITS.parts) {
      return [
        fault(
          'file-too-large',
          placeAt(source, at),
          expectedFound(
            'season file',
            `at most ${YAML_LIMITS.parts} words, signs and lines`,
            'more',
          ),
        ),
      ];
    }
    at += token.length;
    const lastBreak = token.lastIndexOf('\n');
    if (lastBreak >= 0) {
      lineStart = at - (token.length - lastBreak - 1);
      isLineStart = true;
    }
  }
  return faults;
}
