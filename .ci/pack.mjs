// npm run pack [-- FOLDER]: the package as it is handed out, into FOLDER (else here). It is packed
// from a copy without what only a clone can do, the scripts and the packages for development: npm
// would warn of a `prepare` that it does not run.
import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const target = resolve(process.argv[2] ?? '.');
const about = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
const { scripts: _scripts, devDependencies: _packages, ...kept } = about;
const stage = mkdtempSync(join(tmpdir(), 'traybook-pack-'));
try {
  writeFileSync(join(stage, 'package.json'), `${JSON.stringify(kept, null, 2)}\n`);
  for (const name of [...about.files, 'README.md', 'LICENSE'])
    cpSync(join(root, name), join(stage, name), { recursive: true });
  const said = execFileSync('npm', ['pack', '--json', '--pack-destination', target], {
    cwd: stage,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
    shell: process.platform === 'win32',
  });
  const [{ filename, files }] = JSON.parse(said);
  console.log(
    JSON.stringify({ filename: join(target, filename), files: files.map((one) => one.path) }),
  );
} finally {
  rmSync(stage, { recursive: true, force: true });
}
