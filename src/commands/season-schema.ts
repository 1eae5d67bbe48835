/** The JSON Schema of season.yaml, kept where the line at its top tells editors to look. */
import { keepPrivately, PRIVATE_FOLDER, privateText } from '../io/private-folder.ts';

declare const TRAYBOOK_VERSION: string;

const FILE = 'season.schema.json';

/** Editors with the YAML language server read it. The path goes from the file, so it holds on any machine. */
const MODELINE = `# yaml-language-server: $schema=${PRIVATE_FOLDER}/${FILE}`;

/** The text of a season file with the line for editors at its top, if it has none. */
export function withModeline(text: string): string {
  return /^# yaml-language-server:/m.test(text) ? text : `${MODELINE}\n${text}`;
}

/** The schema, told by which version. */
export async function schemaText(): Promise<string> {
  const { seasonJsonSchema } = await import('../tables/season-keys.ts');
  const made = { $comment: `traybook ${TRAYBOOK_VERSION}`, ...seasonJsonSchema() };
  return `${JSON.stringify(made, null, 2)}\n`;
}

/**
 * Puts the schema beside a season file that names it: in a clone, which has none yet, or after another
 * version wrote it. A folder that nobody may write to goes without.
 */
export async function keepSchema(folder: string, seasonText: string): Promise<void> {
  if (!seasonText.includes(MODELINE)) return;
  const kept = privateText(folder, FILE);
  if (kept?.includes(`"traybook ${TRAYBOOK_VERSION}"`)) return;
  keepPrivately(folder, FILE, await schemaText());
}
