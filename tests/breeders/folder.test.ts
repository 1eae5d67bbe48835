// Birds, pens and scores read from a season folder, as a keeper writes them.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { type Relationships, relationships } from '../../src/breeders/inbreeding.ts';
import { matingProblem, nextPens } from '../../src/breeders/next-pens.ts';
import { breedersReport } from '../../src/breeders/report.ts';
import { flockOf } from '../../src/facts/birds/bird-list.ts';
import { orderPedigree } from '../../src/facts/birds/pedigree.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { carriedSeason } from '../../src/season/carry.ts';
import { kinshipMatrix } from '../support/kinship.ts';

const kinship = (known: Relationships, one: string, other: string): number =>
  kinshipMatrix(known, [one, other])[0]![1]!;

const folders: string[] = [];
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});

const season = (more = '') => `format: traybook/1
season: 2027
place: {name: Hollin Bank, timezone: Europe/London}
lines:
  dorking: {species: chicken, class: dual-purpose}
pens:
  north: {line: dorking, hens: 9, males: 1, joined: 2027-02-13, sires: [Old]} # the old cock
  south: {line: dorking, hens: 10, males: 2, joined: 2027-02-13}
${more}`;

function log(header: string, rows: readonly string[]): string {
  const digits = '0123456789abcdefghjkmnpqrstvwxyz';
  const entry = (n: number) =>
    `${header.length % 10}${digits[n % 32]}${digits[(n >> 5) % 32]}0000000`;
  const lines = rows.map((row, n) => {
    const [on, ...cells] = row.split(',');
    return `${entry(n)},${on}T10:00:00Z,${on},${cells.join(',')},,,,`;
  });
  return `entry,recorded,on,${header},by,note,amends,state\n${lines.map((one) => `${one}\n`).join('')}`;
}

/** Rows: day written, bird, sex, pen, dam, sire, born. */
async function read(text: string, birds: readonly string[], scores: readonly string[] = []) {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-breeders-'));
  folders.push(folder);
  const files = {
    'season.yaml': text,
    'log/birds.csv': log(
      'bird,band,line,sex,set,pen,dam,sire,born',
      birds.map((row) => {
        const [on, bird, sex, pen, dam, sire, born] = row
          .split(' ')
          .map((x) => (x === '-' ? '' : x));
        return [on, bird, '', 'dorking', sex, '', pen, dam, sire, born].join(',');
      }),
    ),
    'log/scores.csv': log('bird,trait,value', scores),
  };
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    writeFileSync(join(folder, name), content);
  }
  const found = await readSeasonFolder(folder);
  if (found.season === null) throw new Error(JSON.stringify(found.faults));
  return { season: found.season, source: found.sources.get('season.yaml')! };
}

const old = '2027-01-01 Old male - - - 2025-04-01';
describe('parents known by the pen', () => {
  it('are shared out over its males and hens', async () => {
    const chicks = ['A', 'B'].map((name) => `2027-03-27 ${name} female south - - 2027-03-27`);
    const flock = flockOf([(await read(season(), [old, ...chicks])).season]);
    const known = relationships(orderPedigree(flock.pedigree));
    // Two cocks, ten hens, nobody named: ¼·(½·½ + ½·⅒).
    expect(kinship(known, 'A', 'B')).toBeCloseTo((0.5 / 2 + 0.5 / 10) / 4, 12);
    expect(flock.sharedOut).toEqual(new Set(['A', 'B']));
  });
});

describe('report and next season', () => {
  const birds = [
    old,
    ...Array.from({ length: 12 }, (_, n) =>
      n < 4
        ? `2027-03-27 M${n} male ${n % 2 ? 'north' : 'south'} - ${n % 2 ? 'Old' : '-'} 2027-03-27`
        : `2027-03-27 H${n} female ${n % 2 ? 'north' : 'south'} - ${n % 2 ? 'Old' : '-'} 2027-03-27`,
    ),
  ];
  const scores = Array.from(
    { length: 12 },
    (_, n) => `2027-06-19,${n < 4 ? 'M' : 'H'}${n},mass,${1500 + 37 * ((n * 5) % 11)}`,
  );
  const text = season('traits:\n  mass: {kind: body-weight, age_days: 84}\n');

  it('gives each pen its size, dates and ratio', async () => {
    const report = breedersReport(flockOf([(await read(text, birds, scores)).season]));
    expect(report.pens[0]).toMatchObject({
      pen: 'north',
      effective_size: 3.6,
      first_fertile: '2027-02-20',
      pure_from: null,
      ratio: 'fine',
    });
    expect(report.pens[0]!.delta_f).toBeCloseTo(1 / 7.2, 12);
    expect(report.lines[0]!.effective_size).toBeCloseTo((4 * 3 * 19) / 22, 12);
    expect(report.lines[0]!.effective_size_low).toBeCloseTo((4 * 2 * 19) / 21, 12);
    expect(report.traits[0]).toMatchObject({ compared: 12, peer_groups: 2, heritability: 0.4 });
  });

  it('takes for next season only birds that are here', async () => {
    const book = text.replace('traits:', 'gone: [M1, H5]\ntraits:');
    const flock = flockOf([(await read(book, birds, scores)).season]);
    expect(flock.here.has('M1')).toBe(false);
    expect(flock.here.has('M2')).toBe(true);
    // The next year's book pens one of them, and scores another: the rest have left.
    const { season: next } = await read(
      season('previous: [../2027]\n').replace('sires: [Old]', 'sires: [M3]'),
      [],
      ['2028-02-01,H7,mass,2300'],
    );
    const later = flockOf([(await read(book, birds, scores)).season, next]);
    expect([...later.here].sort()).toEqual(['H7', 'M3']);
    const report = breedersReport(later);
    const { problem } = matingProblem(later, report, { line: 'dorking', without: new Set(['H7']) });
    expect(problem.males.map(({ id }) => id)).toEqual(['M3']);
    expect(problem.hens).toEqual([]);
  });

  it('takes as many pens, males and hens as now, within the usual hens to a male', async () => {
    const flock = flockOf([(await read(text, birds, scores)).season]);
    const report = breedersReport(flock);
    const of = (wish: object) => {
      const { problem } = matingProblem(flock, report, {
        line: 'dorking',
        without: new Set(),
        ...wish,
      });
      const { pens, malesInPen, hensInAll, hensInPen } = problem;
      return [pens, malesInPen, hensInAll, hensInPen.least, hensInPen.most];
    };
    // Five males and eight hens are here; now there are three males and nineteen hens in two pens.
    expect(of({})).toEqual([2, 2, 8, 4, 4]);
    expect(of({ pens: 1, hens: 7 })).toEqual([1, 2, 7, 7, 7]);
    expect(of({ malesInPen: 1, hensInPen: { least: 2, most: 3 } })).toEqual([2, 1, 6, 2, 3]);
  });

  it('says how much faster the line narrows if one male of a pen sires all', async () => {
    const flock = flockOf([(await read(text, birds, scores)).season]);
    const next = await nextPens(flock, breedersReport(flock), {
      line: 'dorking',
      pens: 1,
      malesInPen: 2,
      hens: 4,
      without: new Set(),
    });
    if ('why' in next) throw new Error(next.why);
    expect(next.plan.pens[0]!.males).toHaveLength(2);
    expect(next.delta_f_high).toBeGreaterThan(next.delta_f);
    // Normal order statistics of five: Harter, Biometrika 48:151 (1961), from memory.
    expect(next.candidates.males).toBe(5);
    expect(next.intensity.males).toBeCloseTo((1.16296447 + 0.49501897) / 2, 6);
  });

  it('chooses pens without sibs, which the next season takes over', async () => {
    const { season: one, source } = await read(text, birds, scores);
    const flock = flockOf([one]);
    const next = await nextPens(flock, breedersReport(flock), {
      line: 'dorking',
      pens: 1,
      hens: 4,
      without: new Set(['Old']),
    });
    if ('why' in next) throw new Error(next.why);
    const [pen] = next.plan.pens;
    // The pens' own chicks count as sibs (one cock; two cocks, an even chance): only across pens.
    const bredIn = (name: string) => flock.birds.get(name)!.pen;
    expect(pen!.hens).toHaveLength(4);
    for (const hen of pen!.hens) expect(bredIn(hen)).not.toBe(bredIn(pen!.males[0]!));
    expect(next.gain!.low).toBeLessThan(next.gain!.estimate);
    expect(next.gain!.high).toBeGreaterThan(next.gain!.estimate);

    const chosen = {
      ...one.values,
      next_pens: {
        north: { line: 'dorking', hens: 4, males: 1, sires: [...pen!.males], dams: [...pen!.hens] },
      },
    };
    const after = carriedSeason(source, chosen, { year: null, previous: '../2027' });
    expect(after).toContain('joined: 2028-02-13');
    expect(after).toContain(pen!.males[0]);
    expect(after).not.toContain('south');
    expect(after).not.toContain('next_pens');
  });
});
