import { COMING_DAYS, tasksOf } from '../facts/tasks/tasks.ts';
import { type SheetKind, sheetKinds, sheetPage } from '../tables/html/sheet.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected } from './command.ts';
import { openSeason } from './open.ts';

const kinds = Object.keys(sheetKinds);

export const command: CommandModule = {
  withoutJson: 'a sheet is a page to print; for figures: traybook today --json',
  words: async () => ({ kind: kinds }),
  define(command) {
    command
      .argument('<kind>', `page to print: ${kinds.join(', ')}`)
      .option('--set <set>', 'only this set');
  },

  async run(context, [kind = ''], options) {
    if (!Object.hasOwn(sheetKinds, kind))
      throw unexpected('sheet', `one of ${kinds.join(', ')}`, kind, didYouMean(kind, kinds));
    const { season, now, notices } = await openSeason(context);
    const set = typeof options.set === 'string' ? options.set : null;
    if (set !== null && !season.sets.has(set))
      throw unexpected('--set', 'the name of a set', set, didYouMean(set, season.sets.keys()));
    const tasks = tasksOf(season, now, COMING_DAYS + 1);
    return {
      stdout: sheetPage(kind as SheetKind, { season, now, tasks, set }),
      stderr: notices,
    };
  },

  examples: ['sheet candling > candling.html', 'sheet trays --set D4 > D4.html'],
};
