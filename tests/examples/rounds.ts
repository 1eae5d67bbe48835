// The rounds of the brooders: the keeper sets each roof to the heat that the program asks for, and ticks it.
import { nightsOf, staysOf } from '../../src/facts/birds/brooders.ts';
import { flockOf } from '../../src/facts/birds/groups.ts';
import { buildSeason } from '../../src/facts/fold.ts';
import { heatTasks } from '../../src/facts/tasks/heat-tasks.ts';
import { effectiveRows } from '../../src/records/effective.ts';
import { kindOf, type Rows, recordNames } from '../../src/records/index.ts';
import { readLog } from '../../src/records/read.ts';
import { readSeasonFile } from '../../src/season/read-file.ts';
import { addDays, type Day, daysIn } from '../../src/text/day.ts';
import type { Book } from './book.ts';
import type { Farm } from './farm.ts';

export function rounds(book: Book, farm: Farm): void {
  const files = book.files();
  const rows = Object.fromEntries(
    recordNames.map((name) => {
      const kind = kindOf(name);
      const path = `log/${kind.file}`;
      return [name, effectiveRows(readLog(kind, { path, text: files.get(path)! }).rows).rows];
    }),
  );
  const { file } = readSeasonFile({ path: 'season.yaml', text: farm.header });
  const { season } = buildSeason(file!, rows as unknown as Rows);
  const scribe = book.scribe(farm.seed + 5);
  const done = new Set<string>();
  const groups = [...flockOf(season).groups.values()];
  const nightOn = nightsOf(season);
  const until = farm.until.slice(0, 10) as Day;
  for (const day of daysIn(farm.firstEggs, addDays(until, 1))) {
    const now = { instant: 0, day, time: '07:00' };
    for (const { id, due } of heatTasks(season, staysOf(season, groups, now, nightOn), now)) {
      if (due > day || done.has(id)) continue;
      done.add(id);
      scribe.put('tick', day, { task: id });
    }
  }
}
