// The JSON documents the program prints, held against the JSON Schema files it ships, by an outside
// validator.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';

const root = join(import.meta.dirname, '..', '..');
const folder = join(root, 'dist', 'schemas');

/** Names of the shapes shipped. */
export const shapeNames = readdirSync(folder).map((file) => file.replace(/\.json$/, ''));

const validator = new Ajv2020({ strict: true, allErrors: true, allowUnionTypes: true });
for (const name of shapeNames)
  validator.addSchema(JSON.parse(readFileSync(join(folder, `${name}.json`), 'utf8')), name);

/** What is wrong with a printed document; empty if it has the shape its `format` names. */
export function shapeFaults(document: string): string[] {
  const value = JSON.parse(document) as { format?: unknown };
  const name = /^traybook\.(.*)\/1$/.exec(String(value.format))?.[1];
  if (name === undefined) return [`no format: ${document.slice(0, 60)}`];
  const check = validator.getSchema(name);
  if (check === undefined) return [`no JSON Schema is shipped for ${name}`];
  check(value);
  return (check.errors ?? []).map((error) => `${name}${error.instancePath}: ${error.message}`);
}
