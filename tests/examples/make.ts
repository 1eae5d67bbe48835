// Makes the example seasons from a seed: invented birds of an invented place, with the mess of
// real records. Run `npm run examples` to write them anew; a test holds the folders to this script.
// One file a chapter of the year: the hatchery, then the birds, the weather, the money. A new
// chapter is a function of the book, the farm and what an earlier chapter gave back.
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import gitattributes from '../../seeds/starter/gitattributes';
import type { Day } from '../../src/text/day.ts';
import { birds as breedingBirds, withBreeding } from './birds.ts';
import { Book } from './book.ts';
import type { Farm } from './farm.ts';
import { growing } from './growing.ts';
import { hatchery } from './hatchery.ts';
import { money } from './money.ts';
import { rounds } from './rounds.ts';
import { rotation, seasonFile } from './season-file.ts';
import { weather } from './weather.ts';

/** Every file of a farm's folder, by path below it. */
export function filesOf(farm: Farm): Map<string, string> {
  const book = new Book(farm.season, farm.until);
  const hatched = hatchery(book, farm);
  const groups = growing(book, farm, hatched);
  weather(book, farm);
  money(book, farm, groups);
  breedingBirds(book, farm, groups);
  rounds(book, farm);
  return new Map([
    ['season.yaml', withBreeding(farm)],
    ['.gitattributes', gitattributes as string],
    ...book.files(),
  ]);
}

const birds = {
  north: { lay: 0.62, kept: 0.88, fertile: 0.86, early: 0.05, late: 0.05, hatch: 0.93 },
  south: { lay: 0.6, kept: 0.86, fertile: 0.93, early: 0.05, late: 0.05, hatch: 0.93 },
  pond: { lay: 0.66, kept: 0.85, fertile: 0.84, early: 0.06, late: 0.08, hatch: 0.85 },
};
const hens = { north: 10, south: 13, pond: 9 };

/** The example seasons, by the name of their folder. */
export function exampleFarms(): Farm[] {
  const past = rotation('2026-02-28' as Day, 12, [0, 4, 8]);
  const now = rotation('2027-03-06' as Day, 12, [1, 5, 9]);
  return [
    {
      folder: 'finished',
      seed: 20260228,
      season: 2026,
      until: '2026-11-30T08:00',
      firstEggs: '2026-02-20' as Day,
      sets: past,
      header: seasonFile(
        2026,
        '2026-02-07' as Day,
        '',
        '  - {line: dorking, want: pullets, at: point-of-lay, count: 60, by: 2026-11-15, confidence: 0.9}\n  - {line: harlequin, want: chicks, count: 40, by: 2026-06-30, confidence: 0.8}',
        past,
        'A finished season: chickens every week, ducks every fourth. Invented.',
      ),
      rates: birds,
      hens,
      mess: true,
    },
    {
      folder: 'midseason',
      seed: 20270306,
      season: 2027,
      until: '2027-04-24T07:00',
      firstEggs: '2027-02-26' as Day,
      sets: now,
      header: seasonFile(
        2027,
        '2027-02-13' as Day,
        'previous: [../finished]\n',
        '  - {line: dorking, want: pullets, at: point-of-lay, count: 60, by: 2027-11-15, confidence: 0.9}\n  - {line: harlequin, want: chicks, count: 40, by: 2027-07-20, confidence: 0.8}',
        now,
        'A season in its eighth week. Invented.',
      ),
      rates: birds,
      hens,
      mess: false,
    },
  ];
}

/** Writes every example folder below a project's root anew. */
export function writeExamples(root: string): void {
  for (const farm of exampleFarms()) {
    const folder = join(root, 'examples', farm.folder);
    rmSync(folder, { recursive: true, force: true });
    for (const [name, text] of filesOf(farm)) {
      mkdirSync(dirname(join(folder, name)), { recursive: true });
      writeFileSync(join(folder, name), text);
    }
  }
}
