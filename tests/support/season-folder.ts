import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const ROOT = new URL('../..', import.meta.url).pathname;
const PROGRAM = join(ROOT, 'bin', 'traybook.js');

/** A season of one line, two pens, one cabinet; its plan and logs are empty. */
export const SEASON = `format: traybook/1
season: 2027
place: {name: Low Croft, timezone: Europe/London}
units: {temperature: C, mass: g, area: m2, currency: GBP}
lines:
  sussex: {species: chicken, class: dual-purpose}
pens:
  north: {line: sussex, hens: 11, males: 2, joined: 2027-01-02}
  south: {line: sussex, hens: 12, males: 2, joined: 2027-01-02}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 40}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 80}}
brooders:
  barn: {area: 3}
plan: []
`;

export type Run = { readonly code: number; readonly stdout: string; readonly stderr: string };

/** A season folder of its own in the temporary folder, and the built program run in it. */
export type Folder = {
  readonly path: string;
  run(...words: string[]): Run;
  /** Runs at another moment. */
  at(now: string, ...words: string[]): Run;
  git(...words: string[]): string;
  write(name: string, content: string | Uint8Array): void;
  remove(): void;
};

export const NOW = '2027-03-20T09:00';

export function folderAt(path: string): Folder {
  const at = (now: string, ...words: string[]): Run => {
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      [PROGRAM, '--now', now, ...words],
      {
        cwd: path,
        encoding: 'utf8',
        timeout: 60_000,
        env: { PATH: process.env.PATH ?? '', TZ: 'UTC', NO_COLOR: '1', TRAYBOOK_BY: 'Ane' },
      },
    );
    return { code: status ?? -1, stdout, stderr };
  };
  return {
    path,
    at,
    run: (...words) => at(NOW, ...words),
    git: (...words) =>
      execFileSync('git', words, {
        cwd: path,
        encoding: 'utf8',
        stdio: ['ignore', 'pipe', 'pipe'],
        env: {
          PATH: process.env.PATH ?? '',
          HOME: path,
          GIT_CONFIG_NOSYSTEM: '1',
          GIT_AUTHOR_NAME: 'Ane',
          GIT_AUTHOR_EMAIL: 'ane@croft.example',
          GIT_COMMITTER_NAME: 'Ane',
          GIT_COMMITTER_EMAIL: 'ane@croft.example',
        },
      }),
    write: (name, content) => {
      mkdirSync(join(path, name, '..'), { recursive: true });
      writeFileSync(join(path, name), content);
    },
    remove: () => rmSync(path, { recursive: true, force: true }),
  };
}

/** A new season folder; `from` is copied into it, else it gets {@link SEASON}. */
export function newFolder(from?: string): Folder {
  const path = mkdtempSync(join(tmpdir(), 'traybook-'));
  if (from === undefined) writeFileSync(join(path, 'season.yaml'), SEASON);
  else cpSync(from, path, { recursive: true });
  return folderAt(path);
}
