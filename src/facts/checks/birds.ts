import breeding from '../../../seeds/breeding.yaml';
import { isPunch } from '../../records/bird.ts';
import type { Season, Share } from '../../season/model.ts';
import { daysBetween } from '../../text/day.ts';
import { expectedFound, type Fault, fault, quoted } from '../../text/fault.ts';
import { addAll } from '../../text/lists.ts';
import { didYouMean } from '../../text/nearest.ts';
import { flockOf, type KnownBirds } from '../birds/bird-list.ts';
import { pedigreeFaults } from '../birds/pedigree.ts';
import type { Check } from './check.ts';

type BirdEntered = Season['rows']['bird'][number];

const { parents } = breeding as { parents: { youngest_days: { value: number } } };

/**
 * What birds, their parents, pens and scores say that cannot be so.
 * @param complete false when earlier seasons were not read: then a name may stand in one of them
 */
export function birdFaults(flock: KnownBirds, complete: boolean): Fault[] {
  const { birds, seasons } = flock;
  const season = seasons.at(-1)!;
  const last = seasons.length - 1;
  const faults: Fault[] = [];
  const names = [...birds.keys()];
  const unknown = (name: string, what: string, at: Fault['at'], pen: string | null = null) => {
    if (!complete) return;
    faults.push(
      fault('unknown-bird', at, expectedFound(what, 'a bird of birds.csv', quoted(name)), {
        hint: didYouMean(name, names) ?? `traybook add bird ${name} …`,
        pen,
      }),
    );
  };
  const parentIs = (name: string, sex: 'male' | 'female', what: string, at: Fault['at']) => {
    const parent = birds.get(name);
    if (parent === undefined) {
      unknown(name, what, at);
      return null;
    }
    if (parent.sex !== null && parent.sex !== sex)
      faults.push(
        fault('wrong-sex', at, expectedFound(what, `a ${sex}`, `${name}, a ${parent.sex}`), {
          hint: `${name} is entered in ${parent.at.file}:${parent.at.line}`,
        }),
      );
    return parent;
  };
  for (const bird of birds.values()) {
    if (bird.season !== last) continue;
    for (const [name, sex, what] of [
      [bird.sire, 'male', 'sire'],
      [bird.dam, 'female', 'dam'],
    ] as const) {
      if (name === null) continue;
      const parent = parentIs(name, sex, what, bird.at);
      if (parent === null || parent.name === bird.name) continue;
      if (bird.born === null || parent.born === null) continue;
      const age = daysBetween(parent.born, bird.born);
      if (age < parents.youngest_days.value)
        faults.push(
          fault(
            'parent-too-young',
            bird.at,
            age <= 0
              ? `${bird.name}, born ${bird.born}: its ${what} ${name} was born ${age === 0 ? 'the same day' : `only on ${parent.born}`}`
              : `${bird.name}, born ${bird.born}: its ${what} ${name} was ${age} days old then`,
            { hint: 'one of the two dates, or the parent, is wrong' },
          ),
        );
    }
  }
  addAll(faults, wornTwice(season));
  addAll(faults, tooMany(season));
  for (const loop of pedigreeFaults(flock.pedigree).loops) {
    const bird = birds.get(loop[0]!)!;
    faults.push(
      fault('own-ancestor', bird.at, `${bird.name} is its own ancestor: ${loop.join(' ← ')}`, {
        hint: 'each is a parent of the one before: one of these parents is wrong',
      }),
    );
  }
  const traits = Object.keys(season.values.traits);
  for (const { values, on, at } of season.rows.score) {
    if (!traits.includes(values.trait))
      faults.push(
        fault(
          'unknown-trait',
          at,
          expectedFound('trait', 'a trait of season.yaml', quoted(values.trait)),
          {
            hint: didYouMean(values.trait, traits) ?? 'name it under traits: in season.yaml',
            severity: 'warning',
          },
        ),
      );
    const bird = birds.get(values.bird);
    if (bird === undefined) unknown(values.bird, 'bird', at);
    else if (bird.born !== null && on.day < bird.born)
      faults.push(
        fault(
          'score-before-birth',
          at,
          `${bird.name} was scored on ${on.day} and hatched on ${bird.born}`,
          { hint: 'one of the two dates is wrong, or another bird was meant' },
        ),
      );
  }
  const pens = [...season.pens.values()];
  const stays = pens.flatMap((pen) =>
    [...pen.sires, ...pen.dams].map((name) => ({ name, pen, parted: pen.parted })),
  );
  for (const pen of pens) {
    for (const [key, list, sex] of [
      ['sires', pen.sires, 'male'],
      ['dams', pen.dams, 'female'],
    ] as const)
      list.forEach((name, index) => {
        const at = season.file.placeOf(['pens', pen.name, key, index]);
        parentIs(name, sex, `pens › ${pen.name} › ${key}`, at);
      });
  }
  season.values.gone.forEach((name, index) => {
    if (!birds.has(name)) unknown(name, 'gone', season.file.placeOf(['gone', index]));
  });
  const told = new Set<string>();
  stays.forEach((one, index) => {
    for (const other of stays.slice(index + 1)) {
      if (one.name !== other.name || told.has(one.name)) continue;
      const apart =
        (one.parted !== null && one.parted <= other.pen.joined) ||
        (other.parted !== null && other.parted <= one.pen.joined);
      if (apart) continue;
      told.add(one.name);
      faults.push(
        fault(
          'bird-in-two-pens',
          other.pen.at,
          one.pen === other.pen
            ? `${one.name} is named twice in ${one.pen.name}`
            : `${one.name} is in ${one.pen.name} and ${other.pen.name} at once`,
          { pen: other.pen.name, hint: 'part the one pen before joining the other' },
        ),
      );
    }
  });
  return faults;
}

/** `band-worn`: a band, or a name, that a bird of another hatch has already and still wears. */
function wornTwice(season: Season): Fault[] {
  const gone = new Set(season.values.gone);
  const wearers = new Map<string, BirdEntered>();
  // Of rows that are not in their file yet, the bands in order.
  const inOrder = [...season.rows.bird].sort(
    (a, b) =>
      a.recordedAt - b.recordedAt ||
      Number(Number.isFinite(b.at.line)) - Number(Number.isFinite(a.at.line)) ||
      a.values.bird.localeCompare(b.values.bird, 'en', { numeric: true }),
  );
  return inOrder.flatMap((row) => {
    const { bird, band, set, pen } = row.values;
    if (gone.has(bird)) return [];
    // A toe punch marks birds of one hatch; a band is one bird's alone.
    const worn = band === '' ? bird : isPunch(band) ? JSON.stringify([band, set]) : band;
    const first = wearers.get(worn);
    if (first === undefined) {
      wearers.set(worn, row);
      return [];
    }
    const isOfPen = pen === null || first.values.pen === null || first.values.pen === pen;
    if (first.values.bird === bird && first.values.set === set && isOfPen) return [];
    return [
      fault(
        'band-worn',
        row.at,
        `${bird}: ${first.values.bird}${first.values.set === null ? '' : ` of ${first.values.set}`} wears ${band === '' ? 'that name' : band} already${Number.isFinite(first.at.line) ? ` (${first.at.file}:${first.at.line})` : ''}`,
        {
          about: row.entry,
          hint: 'look at both birds; one that is gone: name it under gone: in season.yaml',
        },
      ),
    ];
  });
}

/** `out-of-balance`: more birds entered of a share than chicks came of it. */
function tooMany(season: Season): Fault[] {
  const entered = new Map<Share, BirdEntered[]>();
  for (const row of season.rows.bird) {
    const { set, pen, born } = row.values;
    const shares = season.sets.get(set ?? '')?.shares ?? [];
    const share = shares.find((one) => one.pen.name === pen) ?? shares[0];
    if (share === undefined || (pen === null && shares.length > 1)) continue;
    // A set of an earlier season may have the same name.
    const isOther = born === null ? season.values.previous.length > 0 : born < share.on.day;
    if (isOther) continue;
    entered.set(share, [...(entered.get(share) ?? []), row]);
  }
  return [...entered].flatMap(([share, rows]) => {
    const birds = new Set(rows.map((row) => row.values.bird)).size;
    const hatched = share.tally.hatched ?? 0;
    return birds <= hatched
      ? []
      : [
          fault(
            'out-of-balance',
            rows.at(-1)!.at,
            `${share.set} ${share.pen.name}: ${birds} birds are entered, and ${hatched} chicks hatched`,
            {
              set: share.set,
              pen: share.pen.name,
              hint: 'count the bands, or write the hatch first',
            },
          ),
        ];
  });
}

/** Birds and pedigrees of this season's own files. */
export const birdsInOrder: Check = ({ season }) =>
  birdFaults(flockOf([season]), season.values.previous.length === 0);
