import { join } from 'node:path';
import { build } from 'esbuild';

const ROOT = new URL('../..', import.meta.url).pathname;

/** Bundles one TypeScript file of the project into a script that Node runs by itself; returns its path. */
export async function bundle(entry: string, folder: string): Promise<string> {
  const outfile = join(folder, `${entry.replaceAll('/', '-').replace(/\.ts$/, '')}.mjs`);
  await build({
    absWorkingDir: ROOT,
    entryPoints: [entry],
    outfile,
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    logLevel: 'warning',
    banner: {
      js: "import{createRequire as bundleRequire}from'node:module';const require=bundleRequire(import.meta.url);",
    },
  });
  return outfile;
}
