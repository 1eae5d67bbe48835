import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { PRIVATE_FOLDER } from './private-folder.ts';

/** The seasons that come with the program, by folder, and the moment each is best looked at. */
export type Examples = {
  readonly files: ReadonlyMap<string, string>;
  readonly moments: Readonly<Record<string, string>>;
};

/** The file that tells the moments; it stands beside the folders. */
const MOMENTS = 'now.json';

/**
 * Reads the example seasons of this installation, without what commands have kept beside them.
 *
 * @returns their files by path, `midseason/season.yaml`; null where they are not installed
 */
export function readExamples(): Examples | null {
  // From the built program the package is one folder up, from the sources two.
  const folder = ['..', '../..']
    .map((up) => join(__dirname, up, 'examples'))
    .find((path) => existsSync(join(path, MOMENTS)));
  if (folder === undefined) return null;
  const moments = JSON.parse(readFileSync(join(folder, MOMENTS), 'utf8')) as Record<string, string>;
  const files = new Map<string, string>();
  for (const name of Object.keys(moments))
    for (const entry of readdirSync(join(folder, name), { recursive: true, withFileTypes: true }))
      if (entry.isFile() && basename(entry.parentPath) !== PRIVATE_FOLDER) {
        const path = join(entry.parentPath, entry.name);
        files.set(path.slice(folder.length + 1).replaceAll('\\', '/'), readFileSync(path, 'utf8'));
      }
  return { files, moments };
}
