// Turns an imported `.yaml` seed into a plain value when the program is built, so that
// start-up never parses a reference table. The tests check every seed against its schema.
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';

const TEXT = /\.md$|[\\/]starter[\\/]/;

function moduleOf(path) {
  const value = parse(readFileSync(path, 'utf8'), { maxAliasCount: 0 });
  return `export default JSON.parse(${JSON.stringify(JSON.stringify(value))});`;
}

/** For esbuild. */
export const seeds = {
  name: 'seeds',
  setup(build) {
    // A manual page and the files of a new season are carried as text.
    build.onLoad({ filter: TEXT }, (args) => ({
      contents: readFileSync(args.path, 'utf8'),
      loader: 'text',
    }));
    build.onLoad({ filter: /\.yaml$/ }, (args) => ({
      contents: moduleOf(args.path),
      loader: 'js',
    }));
  },
};

/** For vitest. */
export const seedsForVite = {
  name: 'seeds',
  enforce: 'pre',
  load(id) {
    if (TEXT.test(id)) return `export default ${JSON.stringify(readFileSync(id, 'utf8'))};`;
    if (id.endsWith('.yaml')) return moduleOf(id);
    return null;
  },
};
