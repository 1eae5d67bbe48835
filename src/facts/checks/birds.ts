import breeding from '../../../seeds/breeding.yaml';
import { isPunch } from '../../records/bird.ts';
import type { Pen, Season, Share } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { daysBetween } from '../../text/day.ts';
import { expectedFound, type Fault, fault, quoted } from '../../text/fault.ts';
import { groupedBy } from '../../text/lists.ts';
import { didYouMean } from '../../text/nearest.ts';
import { flockOf, type KnownBirds } from '../birds/bird-list.ts';
import { pedigreeFaults } from '../birds/pedigree.ts';
import { pairsOf } from '../feasible/trays.ts';
import type { Checked } from './check.ts';

type BirdEntered = Season['rows']['bird'][number];

const { parents } = breeding as { parents: { youngest_days: { value: number } } };

/**
 * What birds, their parents, pens and scores say that cannot be so.
 * @param complete false when earlier seasons were not read: then a name may stand in one of them
 */
export const birdFaults = (flock: KnownBirds, complete: boolean): Fault[] => [
  ...faultsOf(flock, complete),
];

function* faultsOf(flock: KnownBirds, complete: boolean): Generator<Fault> {
  const { birds, seasons } = flock;
  const season = seasons.at(-1)!;
  const last = seasons.length - 1;
  const names = [...birds.keys()];
  function* unknown(name: string, what: string, at: Fault['at']): Generator<Fault> {
    if (complete)
      yield fault('unknown-bird', at, expectedFound(what, 'a bird of birds.csv', quoted(name)), {
        hint: didYouMean(name, names) ?? `traybook add bird ${name} …`,
      });
  }
  function* parentFaults(
    name: string,
    sex: 'male' | 'female',
    what: string,
    at: Fault['at'],
  ): Generator<Fault> {
    const parent = birds.get(name);
    if (parent === undefined) yield* unknown(name, what, at);
    else if (parent.sex !== null && parent.sex !== sex)
      yield fault('wrong-sex', at, expectedFound(what, `a ${sex}`, `${name}, a ${parent.sex}`), {
        hint: `${name} is entered in ${parent.at.file}:${parent.at.line}`,
      });
  }
  for (const bird of birds.values()) {
    if (bird.season !== last) continue;
    for (const [name, sex, what] of [
      [bird.sire, 'male', 'sire'],
      [bird.dam, 'female', 'dam'],
    ] as const) {
      if (name === null) continue;
      yield* parentFaults(name, sex, what, bird.at);
      const born = birds.get(name)?.born ?? null;
      if (name === bird.name || bird.born === null || born === null) continue;
      const age = daysBetween(born, bird.born);
      if (age >= parents.youngest_days.value) continue;
      const when =
        age > 0
          ? `${plural(age, 'day')} old then`
          : `born ${age === 0 ? 'the same day' : `only on ${born}`}`;
      yield fault(
        'parent-too-young',
        bird.at,
        `${bird.name}, born ${bird.born}: its ${what} ${name} was ${when}`,
        { hint: 'one of the two dates, or the parent, is wrong' },
      );
    }
  }
  yield* wornTwice(season);
  yield* tooMany(season);
  for (const loop of pedigreeFaults(flock.pedigree).loops) {
    const bird = birds.get(loop[0]!)!;
    yield fault('own-ancestor', bird.at, `${bird.name} is its own ancestor: ${loop.join(' ← ')}`, {
      hint: 'each is a parent of the one before: one of these parents is wrong',
    });
  }
  const traits = Object.keys(season.values.traits);
  for (const { values, on, at } of season.rows.score) {
    if (!traits.includes(values.trait))
      yield fault(
        'unknown-trait',
        at,
        expectedFound('trait', 'a trait of season.yaml', quoted(values.trait)),
        {
          hint: didYouMean(values.trait, traits) ?? 'name it under traits: in season.yaml',
          severity: 'warning',
        },
      );
    const bird = birds.get(values.bird);
    if (bird === undefined) yield* unknown(values.bird, 'bird', at);
    else if (bird.born !== null && on.day < bird.born)
      yield fault(
        'score-before-birth',
        at,
        `${bird.name} was scored on ${on.day} and hatched on ${bird.born}`,
        { hint: 'one of the two dates is wrong, or another bird was meant' },
      );
  }
  for (const pen of season.pens.values())
    for (const [key, list, sex] of [
      ['sires', pen.sires, 'male'],
      ['dams', pen.dams, 'female'],
    ] as const)
      for (const [index, name] of list.entries()) {
        const at = season.file.placeOf(['pens', pen.name, key, index]);
        yield* parentFaults(name, sex, `pens › ${pen.name} › ${key}`, at);
      }
  for (const [index, name] of season.values.gone.entries())
    if (!birds.has(name)) yield* unknown(name, 'gone', season.file.placeOf(['gone', index]));
  yield* pennedTwice(season);
}

/** `bird-in-two-pens`: each bird once. */
function* pennedTwice(season: Season): Generator<Fault> {
  const stays = [...season.pens.values()].flatMap((pen) =>
    [...pen.sires, ...pen.dams].map((name) => ({ name, pen })),
  );
  const isBefore = (a: Pen, b: Pen) => a.parted !== null && a.parted <= b.joined;
  for (const [name, own] of groupedBy(stays, (one) => one.name)) {
    const both = pairsOf(own).find(
      ([{ pen: a }, { pen: b }]) => !isBefore(a, b) && !isBefore(b, a),
    );
    if (both === undefined) continue;
    const [{ pen }, { pen: other }] = both;
    yield fault(
      'bird-in-two-pens',
      other.at,
      pen === other
        ? `${name} is named twice in ${pen.name}`
        : `${name} is in ${pen.name} and ${other.name} at once`,
      { pen: other.name, hint: 'part the one pen before joining the other' },
    );
  }
}

/** `band-worn`: a band, or a name, that a bird of another hatch has already and still wears. */
function* wornTwice(season: Season): Generator<Fault> {
  const gone = new Set(season.values.gone);
  const wearers = new Map<string, BirdEntered>();
  // Of rows that are not in their file yet, the bands in order.
  const inOrder = [...season.rows.bird].sort(
    (a, b) =>
      a.recordedAt - b.recordedAt ||
      Number(Number.isFinite(b.at.line)) - Number(Number.isFinite(a.at.line)) ||
      a.values.bird.localeCompare(b.values.bird, 'en', { numeric: true }),
  );
  for (const row of inOrder) {
    const { bird, band, set, pen } = row.values;
    if (gone.has(bird)) continue;
    // A toe punch tells the birds of one hatch apart, and those of another may wear it too.
    const worn = band === '' ? bird : isPunch(band) ? JSON.stringify([band, set]) : band;
    const first = wearers.get(worn);
    if (first === undefined) {
      wearers.set(worn, row);
      continue;
    }
    const { values, at } = first;
    const isOfPen = pen === null || values.pen === null || values.pen === pen;
    if (values.bird === bird && values.set === set && isOfPen) continue;
    yield fault(
      'band-worn',
      row.at,
      `${bird}: ${values.bird}${values.set === null ? '' : ` of ${values.set}`} wears ${band === '' ? 'that name' : band} already${Number.isFinite(at.line) ? ` (${at.file}:${at.line})` : ''}`,
      {
        about: row.entry,
        hint: 'look at both birds; one that is gone: name it under gone: in season.yaml',
      },
    );
  }
}

/** `out-of-balance`: more birds entered of a share than chicks came of it. */
function* tooMany(season: Season): Generator<Fault> {
  const entered = groupedBy(season.rows.bird, ({ values: { set, pen, born } }): Share | null => {
    const shares = season.sets.get(set ?? '')?.shares ?? [];
    const share = shares.find((one) => one.pen.name === pen) ?? shares[0];
    if (share === undefined || (pen === null && shares.length > 1)) return null;
    // A set of an earlier season may have the same name.
    const isOther = born === null ? season.values.previous.length > 0 : born < share.on.day;
    return isOther ? null : share;
  });
  for (const [share, rows] of entered) {
    const birds = new Set(rows.map((row) => row.values.bird)).size;
    const hatched = share?.tally.hatched ?? 0;
    if (share === null || birds <= hatched) continue;
    const { set, pen } = share;
    yield fault(
      'out-of-balance',
      rows.at(-1)!.at,
      `${set} ${pen.name}: ${plural(birds, 'bird')} entered, and ${plural(hatched, 'chick')} hatched`,
      { set, pen: pen.name, hint: 'count the bands, or write the hatch first' },
    );
  }
}

/** Birds and pedigrees of this season's own files. */
export const birdsInOrder = ({ season }: Checked): Fault[] =>
  birdFaults(flockOf([season]), season.values.previous.length === 0);
