// The declarations of `traybook/api`: its functions, and a type for each document, made from the JSON
// Schema that is shipped of it.

/** A TypeScript type for a JSON Schema of the kinds that our documents use. */
function typeOf(schema, indent = '') {
  if (schema.const !== undefined) return JSON.stringify(schema.const);
  const types = [schema.type ?? []].flat();
  if (types.length === 0) return 'unknown';
  const named = types.map((type) => {
    if (type === 'null') return 'null';
    if (schema.enum !== undefined)
      return schema.enum
        .filter((one) => one !== null)
        .map((one) => JSON.stringify(one))
        .join(' | ');
    if (type === 'integer') return 'number';
    if (type === 'array') {
      const item = typeOf(schema.items ?? {}, indent);
      return `readonly ${/[|{ ]/.test(item) && !item.startsWith('{') ? `(${item})` : item}[]`;
    }
    if (type === 'object') return objectOf(schema, indent);
    return type;
  });
  return [...new Set(named)].join(' | ');
}

function objectOf({ properties = {}, required = [], additionalProperties }, indent) {
  const deeper = `${indent}  `;
  const lines = Object.entries(properties).flatMap(([name, one]) => [
    ...(one.description === undefined ? [] : [`${deeper}/** ${one.description} */`]),
    `${deeper}readonly ${JSON.stringify(name)}${required.includes(name) ? '' : '?'}: ${typeOf(one, deeper)};`,
  ]);
  if (lines.length === 0)
    return typeof additionalProperties === 'object'
      ? `Readonly<Record<string, ${typeOf(additionalProperties, indent)}>>`
      : 'Readonly<Record<string, unknown>>';
  return `{\n${lines.join('\n')}\n${indent}}`;
}

/** @param schemas JSON Schemas by document @param names the documents that can be read */
export function apiTypes(schemas, names) {
  const documents = names.map((name) => {
    const schema = schemas.get(name);
    if (schema === undefined) throw new Error(`traybook/api: no schema of "${name}"`);
    return `  /** \`traybook ${name} --json\` */\n  readonly ${JSON.stringify(name)}: ${typeOf(schema, '  ')};`;
  });
  return `/** The documents that can be read, each as its command prints it with \`--json\`. */
export interface Documents {
${documents.join('\n')}
}

export type DocumentName = keyof Documents;

export declare const documentNames: readonly DocumentName[];

export interface SeasonOptions {
  /** The moment the book is read at, such as \`2027-04-24T07:00\` in the season's zone; else now. */
  readonly now?: string;
}

/** A season that cannot be read, or words that a command does not take. */
export declare class SeasonError extends Error {
  /** What the command would have ended with: 2 wrong words, 3 a folder that cannot be read. */
  readonly exit: number;
}

/** A season at one moment. */
export interface Season {
  readonly folder: string;
  readonly now: string | undefined;
  /**
   * Reads one document: \`read('today')\`, \`read('list', 'hatch')\`,
   * \`read('eggs-for', '40', '--want', 'pullets')\`.
   *
   * @param name a command that reads
   * @param words what would follow it on the command line
   * @throws SeasonError if the folder cannot be read or the words cannot be meant so
   */
  read<Name extends DocumentName>(name: Name, ...words: readonly string[]): Promise<Documents[Name]>;
}

/**
 * Opens a season folder. Nothing is ever written to it.
 *
 * @param folder the folder that holds \`season.yaml\`
 * @throws SeasonError if the folder cannot be read as it stands: the message tells every fault
 */
export declare function openSeason(folder: string, options?: SeasonOptions): Promise<Season>;
`;
}
