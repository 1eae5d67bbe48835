// What is bundled and under which licence, from the build's own list of what went into it: the texts
// that must go with it, and a bill of materials in the form of CycloneDX 1.6 (ECMA-424).
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const LICENCE_FILE = /^(licen[cs]e|copying|notice)\b/i;
/** Licences that these packages may have; another needs somebody's look before it is shipped. */
const KNOWN = /^(MIT|ISC|Apache-2\.0|BSD-[23]-Clause|0BSD|BSL-1\.0|MPL-2\.0)$/;

/** The text as boost.org/LICENSE_1_0.txt has it. */
const boost = readFileSync(new URL('licences/BSL-1.0.txt', import.meta.url), 'utf8').trim();
const BOOST = /Boost Software License - Version 1\.0/;

/** The folders of the packages whose files went into a bundle, each once, by name. */
function packagesIn(inputs) {
  const found = new Set();
  for (const input of inputs) {
    const part = /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(input.replaceAll('\\', '/'));
    if (part !== null) found.add(part[1]);
  }
  return [...found].sort();
}

function packageOf(root, folder) {
  const path = join(root, folder);
  const about = JSON.parse(readFileSync(join(path, 'package.json'), 'utf8'));
  const licence =
    typeof about.license === 'string'
      ? about.license
      : (about.license?.type ?? about.licenses?.map(({ type }) => type).join(' OR '));
  const texts = readdirSync(path)
    .filter((name) => LICENCE_FILE.test(name))
    .sort()
    .map((name) => readFileSync(join(path, name), 'utf8').replaceAll('\r\n', '\n').trim());
  // Packages with code from Boost name that licence and leave out its text.
  if (licence?.includes('BSL-1.0') && !texts.some((text) => BOOST.test(text))) texts.push(boost);
  return { name: about.name, version: about.version, licence, texts };
}

/** What the lockfile says of a package's contents, as CycloneDX writes it. */
function hashOf(lock, folder) {
  const integrity = lock.packages[folder]?.integrity ?? '';
  const [algorithm, base64] = integrity.split('-');
  if (algorithm !== 'sha512') return [];
  return [{ alg: 'SHA-512', content: Buffer.from(base64, 'base64').toString('hex') }];
}

/**
 * @param root the project's folder
 * @param inputs paths that went into the bundles, below the root, as esbuild's metafile names them
 * @throws Error naming each package without a licence text, or under a licence nobody looked at
 */
export function thirdParty(root, inputs, version) {
  const lock = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8'));
  const packages = packagesIn(inputs).map((folder) => ({
    ...packageOf(root, folder),
    hashes: hashOf(lock, folder),
  }));
  const wrong = packages.flatMap(({ name, licence = '', texts }) => {
    const parts = licence.replace(/[()]/g, '').split(/ (?:AND|OR) /);
    const out = [];
    if (texts.length === 0) out.push(`${name}: no licence text in the package`);
    if (!parts.every((part) => KNOWN.test(part))) out.push(`${name}: licence "${licence}"`);
    return out;
  });
  if (wrong.length > 0) throw new Error(`licences of what is bundled:\n  ${wrong.join('\n  ')}`);
  return { text: textOf(packages), bill: billOf(packages, version) };
}

/** Every text once, below the packages it belongs to. */
function textOf(packages) {
  const byText = new Map();
  for (const one of packages) {
    const text = one.texts.join('\n\n');
    byText.set(text, [...(byText.get(text) ?? []), one]);
  }
  const parts = [...byText].map(([text, all]) => {
    const names = all.map(({ name, version, licence }) => `${name} ${version} (${licence})`);
    return `${names.join('\n')}\n\n${text}\n`;
  });
  const rule = `\n${'-'.repeat(80)}\n\n`;
  return `traybook carries the following packages, under the licences below.\n${rule}${parts.join(rule)}`;
}

function billOf(packages, version) {
  const purl = (name, of) => `pkg:npm/${name.replace('@', '%40')}@${of}`;
  const components = packages.map(({ name, version: of, licence, hashes }) => ({
    type: 'library',
    'bom-ref': purl(name, of),
    name,
    version: of,
    hashes,
    licenses: / (AND|OR) /.test(licence)
      ? [{ expression: licence }]
      : [{ license: { id: licence } }],
    purl: purl(name, of),
  }));
  const self = purl('traybook', version);
  // The same contents have the same number, so that a build can be repeated byte by byte.
  const digest = createHash('sha256')
    .update(JSON.stringify([version, components]))
    .digest('hex');
  const serial = `${digest.slice(0, 8)}-${digest.slice(8, 12)}-5${digest.slice(13, 16)}-8${digest.slice(17, 20)}-${digest.slice(20, 32)}`;
  return {
    $schema: 'http://cyclonedx.org/schema/bom-1.6.schema.json',
    bomFormat: 'CycloneDX',
    specVersion: '1.6',
    serialNumber: `urn:uuid:${serial}`,
    version: 1,
    metadata: {
      component: {
        type: 'application',
        'bom-ref': self,
        name: 'traybook',
        version,
        licenses: [{ license: { id: 'MIT' } }],
        purl: self,
      },
    },
    components,
    dependencies: [{ ref: self, dependsOn: components.map((one) => one['bom-ref']) }],
  };
}
