import { resolve } from 'node:path';
import { writeExport } from '../io/export-folder.ts';
import { csvOf, descriptorOf, ndjsonOf, resourcesOf } from '../tables/package.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { counted, jsonText } from './say.ts';

declare const TRAYBOOK_VERSION: string;

export const command: CommandModule = {
  define(command) {
    command.argument('<dir>', 'folder to write; an earlier export there is replaced');
  },

  async run(context, [dir = '']) {
    const { season, now, notices } = await openSeason(context);
    const folder = resolve(context.cwd, dir);
    const resources = resourcesOf(season);
    const created = new Date(now.instant).toISOString();
    const files = new Map<string, string>();
    const progress = context.progress('writing tables');
    for (const [index, resource] of resources.entries()) {
      progress.tell(index, resources.length);
      files.set(`${resource.name}.csv`, csvOf(resource));
      files.set(`${resource.name}.ndjson`, ndjsonOf(resource));
    }
    const descriptor = descriptorOf(season, resources, created, TRAYBOOK_VERSION);
    files.set('datapackage.json', `${JSON.stringify(descriptor, null, 2)}\n`);
    writeExport(folder, files);
    progress.end();
    const rows = resources.reduce((sum, resource) => sum + resource.rows.length, 0);
    const tables = resources.map(({ name, rows }) => ({ name, rows: rows.length }));
    return {
      stdout: context.json
        ? jsonText('export', { folder: dir, tables })
        : `${dir}: ${counted(resources.length, 'table')}, ${counted(rows, 'row')}; described in datapackage.json\n`,
      stderr: notices,
    };
  },

  examples: ['export hollin-bank-2027'],
};
