import { addDays, type Day } from '../../src/text/day.ts';
import type { SetPlan } from './farm.ts';

function plan(sets: readonly SetPlan[]): string {
  return sets
    .map(
      (one) =>
        `  - {set: ${one.set}, on: ${one.on}, setter: cabinet, trays: [${one.tray}], shares: {${Object.entries(
          one.shares,
        )
          .map(([pen, eggs]) => `${pen}: ${eggs}`)
          .join(', ')}}, hatcher: ${one.hatcher}}`,
    )
    .join('\n');
}

/** A set of chickens every week, of ducks in the weeks named. */
export function rotation(first: Day, weeks: number, ducks: readonly number[]): SetPlan[] {
  const out: SetPlan[] = [];
  for (let week = 0; week < weeks; week += 1) {
    const on = addDays(first, week * 7);
    out.push({
      set: `D${week + 1}`,
      on,
      tray: (week % 3) + 1,
      shares: { north: 18, south: 22 },
      hatcher: 'lower',
      duck: false,
    });
    const duck = ducks.indexOf(week);
    if (duck !== -1)
      out.push({
        set: `H${duck + 1}`,
        on,
        tray: 4,
        shares: { pond: 26 },
        hatcher: 'box',
        duck: true,
      });
  }
  return out;
}

/** The text of season.yaml. */
export function seasonFile(
  season: number,
  joined: Day,
  previous: string,
  goals: string,
  sets: readonly SetPlan[],
  why: string,
): string {
  return `# ${why}
format: traybook/1
season: ${season}
place: {name: Hollin Bank, timezone: Europe/London, altitude_m: 140}
units: {temperature: C, mass: g, area: m2, currency: GBP}
${previous}lines:
  dorking:   {species: chicken, class: dual-purpose, down: striped, egg_g: 58}
  harlequin: {species: duck, down: yellow, egg_g: 78}
pens:
  north: {line: dorking, hens: 10, males: 1, joined: ${joined}}
  south: {line: dorking, hens: 13, males: 2, joined: ${joined}}
  pond:  {line: harlequin, hens: 9, males: 2, joined: ${joined}}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 42, duck: 30}, turns: automatic, watts: 160}
hatchers:
  lower: {holds: {chicken: 60, duck: 40}, clean_days: 1, one_set_at_a_time: true, watts: 110}   # under the trays
  box:   {holds: {chicken: 40, duck: 30}, clean_days: 2, one_set_at_a_time: true, watts: 80}    # for the ducks
storage: {temperature: 15, max_days: 9, turns_per_day: 2}
brooders:
  barn:  {area: 3.6, heat: {kind: lamp, watts: 250, count: 2}, feeder_cm: 240, drinker_cm: 90}
  loft:  {area: 3.6, heat: {kind: lamp, watts: 250, count: 2}, feeder_cm: 240, drinker_cm: 90}
  crate: {area: 1.6, heat: {kind: hover, area: 0.36, watts: 125}}   # chicks sold within days
  tunnel: {area: 7, housing: hoop, heat: {kind: plate, places: 60}, feeder_cm: 300, drinker_cm: 120}
  shed:  {area: 2.4, heat: {kind: hover, area: 0.42, watts: 125}}   # ducklings, and nobody else
  ark:   {area: 2.6, heat: {kind: none}}   # ducks between heat and pond
runs:
  orchard: {area: 900}
  paddock: {area: 500}
  pond: {area: 300}
normals:
  mar: {low: 1.5, high: 8.5, low_10: -2.5}
  apr: {low: 3.5, high: 11.5, low_10: -0.5}
  may: {low: 6.5, high: 15.5, low_10: 3}
  jun: {low: 9.5, high: 18.5, low_10: 6.5}
  jul: {low: 11, high: 20.5, low_10: 8}
  aug: {low: 11, high: 20, low_10: 8}
  sep: {low: 9.5, high: 17, low_10: 6}
  oct: {low: 6.5, high: 13, low_10: 2.5}
  nov: {low: 3.5, high: 9, low_10: -0.5}
prices: {egg: 0.35}   # feed and power as bought, in log/money.csv
days_off: {set: [sun]}
goals:
${goals}
plan:
${plan(sets)}
`;
}
