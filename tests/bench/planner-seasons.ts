/** Seasons to be planned, of three sizes; invented farms. */
import { addDays, type Day } from '../../src/text/day.ts';

export interface BenchSeason {
  name: string;
  /** What it is made of. */
  words: string;
  yaml: string;
  now: Day;
  /** What is aimed at for the whole plan: seconds that the keeper waits, and by which part more sets than other solvers find. */
  aim: { seconds: number; gap?: number };
}

const now = '2027-02-01' as Day;
const LAY = 150;
const joined = addDays(now, -14);
/** Days from setting to the day birds are counted, by species, for chicks at the hatch. */
const hatched = { chicken: 22, duck: 30, turkey: 30, goose: 32 };
const lastSet = (weeks: number) => addDays(now, weeks * 7);
const by = (weeks: number, days: number) => addDays(lastSet(weeks), days);

const small: BenchSeason = {
  name: 'small',
  words: 'one cabinet of 3 trays, one pen, 16 weeks, Saturdays',
  now,
  aim: { seconds: 1 },
  yaml: `format: traybook/1
season: 2027
place: {name: Small Farm, timezone: UTC}
lines:
  dorking: {species: chicken, point_of_lay_days: ${LAY}}
pens:
  north: {line: dorking, hens: 14, males: 2, joined: ${joined}}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 42}}
hatchers:
  lower: {holds: {chicken: 80}, clean_days: 1}
brooders:
  barn: {area: 40}
storage: {max_days: 9}
days_off: {set: [mon, tue, wed, thu, fri, sun]}
goals:
  - {line: dorking, want: pullets, count: 70, by: ${by(16, hatched.chicken - 1 + LAY)}, confidence: 0.9}
`,
};

const middle: BenchSeason = {
  name: 'middle',
  words: 'two setters, three pens, two species, 26 weeks, three set days a week',
  now,
  aim: { seconds: 10 },
  yaml: `format: traybook/1
season: 2027
place: {name: Middle Farm, timezone: UTC}
lines:
  dorking: {species: chicken, point_of_lay_days: ${LAY}}
  harlequin: {species: duck}
pens:
  north: {line: dorking, hens: 14, males: 2, joined: ${joined}}
  south: {line: dorking, hens: 11, males: 2, joined: ${joined}}
  pond: {line: harlequin, hens: 12, males: 3, joined: ${joined}}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 42, duck: 30}}
  chest: {trays: 3, tray_holds: {chicken: 36, duck: 26}}
hatchers:
  lower: {holds: {chicken: 80, duck: 54}, clean_days: 1}
  box: {holds: {chicken: 50, duck: 36}, clean_days: 2}
brooders:
  barn: {area: 80}
storage: {max_days: 9}
days_off: {set: [mon, wed, fri, sun]}
goals:
  - {line: dorking, want: pullets, count: 150, by: ${by(26, hatched.chicken - 1 + LAY)}, confidence: 0.9}
  - {line: harlequin, want: chicks, count: 140, by: ${by(26, hatched.duck)}, confidence: 0.8}
`,
};

const large: BenchSeason = {
  name: 'large',
  words: 'six setters, eight pens, four species, 26 weeks, every day but Sunday',
  now,
  aim: { seconds: 30, gap: 0.02 },
  yaml: `format: traybook/1
season: 2027
place: {name: Large Farm, timezone: UTC}
lines:
  dorking: {species: chicken, point_of_lay_days: ${LAY}}
  sussex: {species: chicken}
  harlequin: {species: duck}
  bronze: {species: turkey}
  pilgrim: {species: goose}
pens:
  north: {line: dorking, hens: 14, males: 2, joined: ${joined}}
  south: {line: dorking, hens: 11, males: 2, joined: ${joined}}
  yard: {line: sussex, hens: 13, males: 2, joined: ${joined}}
  pond: {line: harlequin, hens: 12, males: 3, joined: ${joined}}
  brook: {line: harlequin, hens: 9, males: 2, joined: ${joined}}
  oak: {line: bronze, hens: 10, males: 2, joined: ${joined}}
  elm: {line: bronze, hens: 8, males: 1, joined: ${joined}}
  green: {line: pilgrim, hens: 9, males: 3, joined: ${joined}}
setters:
${['a', 'b'].map((name) => `  ${name}: {trays: 4, tray_holds: {chicken: 42, duck: 30, turkey: 30, goose: 14}}`).join('\n')}
${['c', 'd'].map((name) => `  ${name}: {trays: 3, tray_holds: {chicken: 36, duck: 26, turkey: 26, goose: 12}}`).join('\n')}
${['e', 'f'].map((name) => `  ${name}: {trays: 5, tray_holds: {chicken: 24, duck: 18, turkey: 18, goose: 9}}`).join('\n')}
hatchers:
  lower: {holds: {chicken: 90, duck: 60, turkey: 60, goose: 28}, clean_days: 1}
  upper: {holds: {chicken: 90, duck: 60, turkey: 60, goose: 28}, clean_days: 1}
  box: {holds: {chicken: 50, duck: 36, turkey: 36, goose: 18}, clean_days: 2}
  long: {holds: {chicken: 70, duck: 50, turkey: 50, goose: 24}, clean_days: 1, one_set_at_a_time: false}
brooders:
  barn: {area: 300}
storage: {max_days: 9}
days_off: {set: [sun]}
goals:
  - {line: dorking, want: pullets, count: 150, by: ${by(26, hatched.chicken - 1 + LAY)}, confidence: 0.9}
  - {line: sussex, want: chicks, count: 250, by: ${by(26, hatched.chicken)}, confidence: 0.9}
  - {line: harlequin, want: chicks, count: 250, by: ${by(26, hatched.duck)}, confidence: 0.8}
  - {line: bronze, want: chicks, count: 160, by: ${by(26, hatched.turkey)}, confidence: 0.8}
  - {line: pilgrim, want: chicks, count: 40, by: ${by(26, hatched.goose)}, confidence: 0.8}
`,
};

export const benchSeasons: readonly BenchSeason[] = [small, middle, large];
