import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { answer } from './in-process.ts';

const SEASON = `# Every part of a season, for tests that damage it.
format: traybook/1
season: 2027
place: {name: "Low Croft", timezone: Europe/London, altitude_m: 140}
units: {temperature: C, mass: g, area: m2, currency: GBP}
lines:
  sussex: {species: chicken, class: dual-purpose, down: buff, egg_g: 58}
  pekin: {species: duck, down: yellow}
pens:
  north: {line: sussex, hens: 11, males: 2, joined: 2027-01-02}
  south: {line: sussex, hens: 12, males: 2, joined: 2027-01-02}   # by the gate
  pond: {line: pekin, hens: 5, males: 1, joined: 2027-01-02}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 40, duck: 30}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 80, duck: 60}, clean_days: 1, one_set_at_a_time: true}
storage: {temperature: 15, max_days: 9, turns_per_day: 2}
brooders:
  barn: {area: 3, heat: {kind: lamp, watts: 250, count: 2}}
  shed: {area: 4}
traits:
  mass_12w: {kind: body-weight, unit: g}
days_off: {set: [sun], dates: [2027-04-04]}
goals:
  - {line: sussex, want: pullets, at: point-of-lay, count: 20, by: 2027-10-15, confidence: 0.9}
plan:
  - {set: A3, on: 2027-04-05, setter: cabinet, trays: [3], shares: {north: 8, south: 9}}
`;

/** The moment at which the book of {@link wholeBook} is read. */
export const BOOK_NOW = '2027-04-01T09:00';

const ROWS = `
2027-02-27 eggs north --laid=9 --kept=9 --hens=11
2027-02-28 eggs north --kept=8 --cracked=1 --note=fine,"cold"
2027-02-27 eggs south --kept=9
2027-02-28 eggs south --kept=9
2027-03-27 eggs north --kept=7
2027-03-01 set A1 --pen=north --tray=1 --eggs=16
2027-03-01 set A1 --pen=south --tray=2 --eggs=17 --mass-g=990.5
2027-03-08 candling A1 --pen=north --clear=2 --quit=1
2027-03-08 candling A1 --pen=south --clear=1 --doubtful=1
2027-03-08 weighing A1 --pen=south --eggs=16 --mass-g=910.25
2027-03-10T07:30 reading cabinet --dry=37.6 --rh=54
2027-03-11T07:30 reading cabinet --event=power-off --minutes=40
2027-03-19 transfer A1 --pen=north --moved=13
2027-03-19 transfer A1 --pen=south --moved=15 --quit=1
2027-03-22T15:00 hatch A1 --pen=north --hatched=10
2027-03-23T09:00 hatch A1 --pen=north --hatched=1 --dead=1 --unpipped=1 --final=yes
2027-03-22T15:00 hatch A1 --pen=south --hatched=12 --weak=1 --pipped=1 --unpipped=2 --final=yes
2027-03-24 breakout A1 --pen=south --from=unhatched --late=2 --pipped=1
2027-03-22T18:00 group G1 --set=A1 --pen=north --brooder=barn --chicks=10 --mark=toe,"left"
2027-03-22T18:00 group G2 --set=A1 --pen=south --brooder=barn --chicks=11 --mark=none
2027-03-29 move G2 --to=shed --birds=11
2027-03-28 loss G1 --birds=1 --cause=chilled
2027-03-30 sexing G1 --pullets=5 --cockerels=4
2027-03-31 leaving G1 --sex=male --birds=2 --way=sold --money=12.5
2027-03-01 bird M1 --line=sussex --sex=male --born=2026-03-02
2027-03-31 bird K1 --line=sussex --sex=female --set=A1 --pen=north --sire=M1 --born=2027-03-22
2027-03-31 score M1 --trait=mass_12w --value=1420
2027-03-20 treatment north --product=as-labelled --egg-withdrawal-days=3
2027-03-20 weather --low=3.5 --high=12
2027-03-20 money --category=feed --amount=14.5 --quantity=20 --unit=kg
2027-03-22 tick A1/damp-up
2027-03-21 eggs-out north --eggs=1 --way=eaten
2027-03-21 pen-change north --change=died --sex=female --cause=fox
2027-03-21 acceptance too-few-males --about=north --why=known
`;

/** Writes a season with rows in every log, by the program's own commands. */
export async function wholeBook(folder: string): Promise<void> {
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, 'season.yaml'), SEASON);
  for (const row of ROWS.trim().split('\n')) {
    const [on, ...words] = row.split(' ');
    const told = await answer(folder, ['add', ...words, `--on=${on}`], { now: BOOK_NOW });
    if (told.code !== 0) throw new Error(`${row}: ${told.stderr}`);
  }
}
