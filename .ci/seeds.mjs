// Turns an imported `.yaml` seed into a plain value when the program is built, so that
// start-up never parses a reference table. The tests check every seed against its schema.
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';

function moduleOf(path) {
  const value = parse(readFileSync(path, 'utf8'), { maxAliasCount: 0 });
  return `export default JSON.parse(${JSON.stringify(JSON.stringify(value))});`;
}

/** For esbuild. */
export const seeds = {
  name: 'seeds',
  setup(build) {
    build.onLoad({ filter: /\.yaml$/ }, (args) => ({
      contents: moduleOf(args.path),
      loader: 'js',
    }));
    // A manual page is carried as text.
    build.onLoad({ filter: /\.md$/ }, (args) => ({
      contents: readFileSync(args.path, 'utf8'),
      loader: 'text',
    }));
  },
};

/** For vitest. */
export const seedsForVite = {
  name: 'seeds',
  enforce: 'pre',
  load(id) {
    if (id.endsWith('.yaml')) return moduleOf(id);
    if (id.endsWith('.md')) return `export default ${JSON.stringify(readFileSync(id, 'utf8'))};`;
    return null;
  },
};
