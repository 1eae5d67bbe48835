import { nightsOf, roofHeatOf, staysOf } from '../../facts/birds/brooders.ts';
import { birdsIn, flockOf } from '../../facts/birds/groups.ts';
import { cooledTo, powerFigures, RUNNING_C } from '../../facts/cooling.ts';
import { wantedWords } from '../../facts/goals.ts';
import {
  type Milestones,
  milestonesOfPlanned,
  milestonesOfSet,
  milestonesOfShare,
  openPlan,
} from '../../facts/hatch-time.ts';
import { heatText, wholeDegrees } from '../../facts/heat.ts';
import { cutSteps } from '../../facts/power.ts';
import type { Task, TaskClass } from '../../facts/tasks/task.ts';
import { kindOf, type RecordName } from '../../records/index.ts';
import { cautionLines, cautionsOfSheet } from '../../season/cautions.ts';
import { deathsAt, deathWords } from '../../season/embryo.ts';
import { hatchesInPlace } from '../../season/hens.ts';
import type { EggSet, Now, Season, Share } from '../../season/model.ts';
import { addDays, type Day, daysBetween, daysIn } from '../../text/day.ts';
import { counted, dayMonth, longDay, weekdayMonth } from '../numbers.ts';
import { placesOf, stayRows, wholeSpan } from '../occupancy.ts';
import { isPressing } from '../today.ts';
import { drawn } from './chart.ts';
import { type Child, classed, html, type Markup } from './element.ts';
import { document } from './page.ts';
import { staysPicture } from './pictures.ts';

/** Every page that can be printed to write on in the barn, and what it is for. */
export const sheetKinds = {
  season: 'the whole season on one page for the wall: who is where, hatch days, goals',
  day: 'what is due today, with a box to tick',
  candling: 'a row for each share in the setter, to count at the candling',
  hatch: 'rows for the openings of each share in the hatcher',
  breakout: 'rows for eggs that are opened, and what is seen at which age',
  trays: 'a card for each tray in use: set, pens, dates in large type',
  brooder: 'a page for each brooder: the heat of each day, and a line to write on',
  power: 'a card to hang by the machines: what to do when the power fails',
} as const;

export type SheetKind = keyof typeof sheetKinds;

// Black on white, boxes tall enough for a pencil in a cold hand (10 mm), no ink for decoration.
const css = `
*{box-sizing:border-box}
html{background:#fff;color:#000;font:11pt/1.35 Charter,"Bitstream Charter","Sitka Text",Cambria,"DejaVu Serif",Georgia,serif}
body{margin:0 auto;padding:1rem;max-width:190mm}
h1{font-size:18pt;margin:0}h2{font-size:13pt;margin:6mm 0 2mm}
p{margin:1mm 0}.how{font-size:9.5pt;color:#333}
code{font-family:"DejaVu Sans Mono",Consolas,monospace;font-size:9pt}
table{border-collapse:collapse;width:100%;margin:3mm 0;table-layout:fixed}
th,td{border:1px solid #000;padding:1mm;text-align:left;vertical-align:bottom;overflow-wrap:anywhere}
thead th{font-size:8pt;font-weight:600;overflow-wrap:normal}table.many thead th{font-size:7pt;font-weight:400;padding:1mm .5mm}thead small{display:block;font-weight:400;font-size:8pt;color:#333}
tbody th{font-weight:600}tbody td.blank{height:11mm}td.wide,th.wide{width:12%}
th.name{width:9%}th.given{width:7%}
ul.tasks{list-style:none;padding:0;margin:3mm 0}
ul.tasks li{display:flex;gap:3mm;padding:2mm 0;border-bottom:1px solid #999;break-inside:avoid}
.box{flex:none;width:6mm;height:6mm;border:1.5px solid #000}
.cards{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:5mm}
.card{border:1.5px solid #000;padding:4mm;break-inside:avoid}
.card h2{font-size:26pt;margin:0;line-height:1.1}.card .place{font-size:13pt}
.card dl{display:grid;grid-template-columns:auto 1fr;gap:1mm 4mm;margin:3mm 0 0}
.card dt{font-size:11pt}.card dd{margin:0;font-size:17pt;line-height:1.15}
@media screen and (max-width:60rem){.wall .beside{grid-template-columns:minmax(0,1fr)}}
@media (max-width:40rem){.cards{grid-template-columns:minmax(0,1fr)}.scroll{overflow-x:auto}.scroll table{min-width:44rem}}
ul.two{columns:2;column-gap:8mm}ul.two li{padding:1.2mm 0}ul.two strong{font-weight:600;font-size:10pt}ul.two .box{width:5mm;height:5mm}
p.line{font-size:10pt}
ol.steps{font-size:12pt;line-height:1.2;padding-left:7mm;margin:2mm 0}ol.steps li{margin:1mm 0}ol.steps~h2{margin:3mm 0 0}ol.steps~.scroll table{margin:1.5mm 0}ol.steps~.scroll td,ol.steps~.scroll th{padding:.4mm 1mm}ol.steps~.scroll td.blank{height:10.2mm}
.wall{max-width:none}.wall svg{display:block;width:100%;height:auto;max-height:88mm;font-size:14px;margin:2mm 0}
.wall h1{font-size:15pt}.wall table{font-size:9pt;margin:1mm 0;table-layout:auto}.wall td,.wall th{padding:.6mm 1.5mm;overflow-wrap:normal}.wall td.tick{width:8mm}
.wall .beside{display:grid;grid-template-columns:3fr 1fr;gap:6mm;align-items:start}.wall .beside>*{min-width:0}
.rule{stroke:#bbb}.axis-line{stroke:#333}.reference{stroke:#000;stroke-dasharray:3 3;stroke-width:1.4}
.stay{fill:#333}.stay.planned{fill:#fff;stroke:#333}text.end{text-anchor:end}text.middle{text-anchor:middle}
text.small{font-size:11px}text.on-stay{fill:#fff}
section.leaf{break-after:page}section.leaf:last-child{break-after:auto}
section.leaf tbody td.blank{height:10.5mm}section.leaf thead th.name{width:15%}section.leaf tbody th,section.leaf tbody td{white-space:nowrap;font-size:10pt}
@media print{body{padding:0;max-width:none}tr{break-inside:avoid}thead{display:table-header-group}h2,h3{break-after:avoid}}
@page{margin:13mm 12mm 15mm;@bottom-right{content:counter(page) " / " counter(pages);font:9pt serif}}
`;

/** The wall has room across. */
const landscape = '@page{size:landscape;margin:10mm 10mm 13mm}';

export type SheetMatter = {
  readonly season: Season;
  readonly now: Now;
  readonly tasks: readonly Task[];
  /** Only this set, or every one that the sheet is for. */
  readonly set: string | null;
};

/** The sheet as an HTML page to print. */
export function sheetPage(kind: SheetKind, matter: SheetMatter): string {
  const { title, body } = sheets[kind](matter);
  const { season, now } = matter;
  const { place, season: year } = season.values;
  const isWall = kind === 'season';
  return document(
    `${title}, ${now.day}`,
    isWall ? css + landscape : css,
    html`
      <main${classed(isWall && 'wall')}><h1>${title}</h1>
      <p class="how">${place.name}, season ${year}. As of ${longDay(now.day)}, ${now.time}.</p>
      ${body}</main>
    `,
  );
}

type Sheet = { readonly title: string; readonly body: Child };

const sheets: Readonly<Record<SheetKind, (matter: SheetMatter) => Sheet>> = {
  season: seasonSheet,
  day: daySheet,
  candling: candlingSheet,
  hatch: hatchSheet,
  breakout: breakoutSheet,
  trays: trayCards,
  brooder: brooderCards,
  power: powerCard,
};

const box = html`<span class="box"></span>`;
const how = (...words: Child[]): Markup => html`<p class="how">${words}</p>`;

/** One page: what is overdue and due with boxes, the daily round and what comes in a line each. */
function daySheet({ tasks, now }: SheetMatter): Sheet {
  const list = (title: string, some: readonly Task[]): Child =>
    some.length > 0 &&
    html`
      <h2>${title}</h2><ul class="tasks two">
      ${some.map((task) => html`<li>${box}<div><strong>${task.title}</strong></div></li>`)}</ul>
    `;
  const line = (title: string, words: readonly string[]): Child =>
    words.length > 0 && html`<h2>${title}</h2><p class="line">${words.join('; ')}.</p>`;
  const pressing = (state: Task['state']) =>
    tasks.filter((task) => isPressing(task) && task.state === state);
  const of = (name: TaskClass) => tasks.filter((task) => task.class === name);
  const titles = (some: readonly Task[]) => some.map((task) => task.title);
  const pens = gathered(tasks);
  return {
    title: `The day: ${longDay(now.day)}`,
    body: [
      list('Overdue', pressing('overdue')),
      list('Today', pressing('due')),
      tasks.length === 0 && html`<p>Nothing is due.</p>`,
      line('Every day', titles(of('routine').filter((task) => task.daily))),
      line('Long overdue', titles(of('routine').filter((task) => !task.daily))),
      line(
        'Coming',
        of('coming').map((task) => `${weekdayMonth(task.due)}: ${task.title}`),
      ),
      html`<h2>Seen and done</h2>`,
      typedIn([['traybook add eggs', ...pens.map((pen) => `${pen}=laid/kept`)].join(' ')]),
      toWrite(
        [name('pen')],
        asked('eggs', ['pen']),
        [...pens, null, null].map((pen) => [pen]),
      ),
    ],
  };
}

/** Pens whose eggs are to be gathered, for the day's egg rows. */
function gathered(tasks: readonly Task[]): string[] {
  return [...new Set(tasks.filter((one) => one.kind === 'collect').map((one) => one.place))].filter(
    (pen) => pen !== null,
  );
}

/** Columns to count that stand beside each other in letters of the usual size. */
const FEW = 7;

/** What a cell holds; null is to be written in. */
type Cell = Markup | string | number | null;

const head = (name: string, width: string | false = false): Markup =>
  html`<th scope="col"${classed(width)}>${name}</th>`;
const name = (of: string): Markup => head(of, 'name');
const given = (of: string): Markup => head(of, 'given');

/** A table whose rows begin with a name. On a phone it scrolls by itself, so the keyboard reaches it. */
function grid(
  heads: readonly Markup[],
  rows: readonly (readonly Cell[])[],
  label = 'to write in',
  width: string | false = false,
): Markup {
  const cellOf = (cell: Cell, index: number): Markup => {
    if (cell === null) return html`<td class="blank"></td>`;
    if (typeof cell === 'object') return cell;
    return index === 0 ? html`<th scope="row">${cell}</th>` : html`<td>${cell}</td>`;
  };
  return html`
    <div class="scroll" tabindex="0" role="region" aria-label="${label}">
    <table${classed(width)}><thead><tr>${heads}</tr></thead>
    <tbody>${rows.map((row) => html`<tr>${row.map(cellOf)}</tr>`)}</tbody></table></div>
  `;
}

/** A table to write in: what is known of each row, an empty cell for each column asked, a note. */
function toWrite(
  known: readonly Markup[],
  asked: readonly string[],
  rows: readonly (readonly Cell[])[],
): Markup {
  return grid(
    [...known, ...asked.map((column) => head(column.replaceAll('_', ' '))), head('note', 'wide')],
    rows.map((row) => [...row, ...asked.map(() => null), html`<td class="blank wide"></td>`]),
    undefined,
    asked.length > FEW && 'many',
  );
}

/** Columns of a record that the keeper counts, as `add --ask` asks for them. */
function asked(record: RecordName, known: readonly string[]): string[] {
  return Object.keys(kindOf(record).columns).filter((column) => !known.includes(column));
}

/**
 * A table to write what a record asks of each share, with the commands to type it in by; words alone
 * where there is no share.
 */
function shareTable(
  record: RecordName,
  shares: readonly Share[],
  none: string,
  how: string | null,
  known: readonly Markup[],
  rows: readonly (readonly Cell[])[],
): Child {
  if (shares.length === 0) return html`<p>${none}</p>`;
  return [
    how !== null && html`<p>${how}</p>`,
    commands(record, shares),
    toWrite([name('set'), name('pen'), ...known], asked(record, ['set', 'pen']), rows),
  ];
}

const named = ({ set, pen }: Share): string[] => [set, pen.name];

function sharesWhere(matter: SheetMatter, wanted: (share: Share) => boolean): Share[] {
  return [...matter.season.sets.values()]
    .filter((set) => matter.set === null || set.name === matter.set)
    .flatMap((set) => set.shares.filter(wanted));
}

const traysOf = (share: Share): string =>
  share.trays
    .map((one) => (one.tray === null || share.underHen ? one.setter : String(one.tray)))
    .join(', ');

function candlingSheet(matter: SheetMatter): Sheet {
  const shares = sharesWhere(matter, (share) => share.stage === 'in-setter' && share.live > 0);
  return {
    title: 'Candling',
    body: shareTable(
      'candling',
      shares,
      'No eggs are in the setter.',
      'Count what comes out. Doubtful eggs stay in and are looked at again.',
      [given('tray'), given('day'), given('eggs in')],
      shares.map((share) => [
        ...named(share),
        traysOf(share),
        daysBetween(share.on.day, matter.now.day),
        share.live,
      ]),
    ),
  };
}

const OPENINGS = 3;

function hatchSheet(matter: SheetMatter): Sheet {
  const shares = sharesWhere(
    matter,
    (share) => share.stage === 'in-hatcher' || (share.underHen && share.stage === 'in-setter'),
  );
  return {
    title: 'Hatch',
    body: [
      shareTable(
        'hatch',
        shares,
        'No eggs are in a hatcher or under a hen.',
        'One line for each opening. At the last one count what did not hatch, and tick final.',
        [given('eggs in'), name('date, hour')],
        shares.flatMap((share) =>
          Array.from({ length: OPENINGS }, (_, index) => [
            ...named(share),
            index === 0 ? share.live : '',
            null,
          ]),
        ),
      ),
      shares.length > 0 && [
        how(
          'Chicks that hatch weak, and late embryos found alive, are to be handled as chicks. For how to put a suffering bird down, follow your local rules and ask a vet.',
        ),
        cautions('hatch'),
      ],
    ],
  };
}

/** The cautions a sheet carries, one a line. */
function cautions(sheet: SheetKind): Child {
  return cautionLines(cautionsOfSheet(sheet)).map((line) => how(line));
}

/** Shares that eggs to open may come from, none opened yet: some were taken out, or the hatch is over. */
function breakoutSheet(matter: SheetMatter): Sheet {
  const opened = new Set(
    matter.season.rows.breakout.map(({ values }) => `${values.set} ${values.pen ?? ''}`),
  );
  const shares = sharesWhere(
    matter,
    (share) =>
      (share.stage !== 'in-setter' || share.live < share.eggs) &&
      !opened.has(`${share.set} `) &&
      !opened.has(`${share.set} ${share.pen.name}`),
  );
  const terms = [...new Set(shares.map((share) => share.pen.line.species.hatch_day.value))];
  return {
    title: 'Breakout',
    body: [
      cautions('breakout'),
      shareTable(
        'breakout',
        shares,
        'No eggs have come out of a machine.',
        null,
        [],
        shares.map(named),
      ),
      terms.map((term) => [
        html`<h2>What is seen, in a term of ${term} days</h2>`,
        deathsAt(term).map((death) => html`<p>${deathWords(death)}.</p>`),
      ]),
    ],
  };
}

/** What to type afterwards, as `add` takes it in one command. */
function typedIn(lines: readonly string[], where = 'Typed in by '): Markup {
  return how(
    where,
    lines.map((line, index) => html`${index > 0 && ', '}<code>${line}</code>`),
  );
}

/** One command a set, its shares one after the other, with the first count of the record. */
function commands(record: RecordName, shares: readonly Share[]): Markup {
  const [count = ''] = asked(record, ['set', 'pen', 'from']);
  const flags = `${record === 'breakout' ? '--from clear ' : ''}--${count.replaceAll('_', '-')} N`;
  const sets = [...new Set(shares.map((share) => share.set))];
  return typedIn(
    sets.map((set) => {
      const own = shares.filter((share) => share.set === set);
      return `traybook add ${record} ${set}${own.map(({ pen }) => ` --pen ${pen.name} ${flags}`).join('')} …`;
    }),
  );
}

const dated = (label: string, day: Day): Markup =>
  html`<dt>${label}</dt><dd>${weekdayMonth(day)}</dd>`;

function trayCards(matter: SheetMatter): Sheet {
  const cards = sharesWhere(matter, (share) => share.stage !== 'finished').flatMap((share) => {
    const dates = milestonesOfShare(share, matter.season);
    const places =
      share.stage === 'in-hatcher'
        ? [{ place: share.hatcher ?? 'hatcher', eggs: share.live }]
        : share.trays.map((one) => ({
            place:
              one.tray === null || share.underHen ? one.setter : `${one.setter}, tray ${one.tray}`,
            eggs: one.eggs,
          }));
    return places.map(
      ({ place, eggs }) => html`
        <article class="card"><h2>${share.set}</h2>
        <p class="place">${share.pen.name}: ${counted(eggs, `${share.pen.line.name} egg`)}</p>
        <p class="place">${place}</p><dl>
        ${[
          dated('set', dates.set),
          dates.candle.map((day) => dated('candle', day)),
          hatchesInPlace(matter.season, share) || dated('transfer', dates.transfer),
          dated('hatch', dates.hatch),
          dated('last opening', dates.lastOpening),
        ]}</dl></article>
      `,
    );
  });
  return {
    title: 'Tray cards',
    body:
      cards.length === 0
        ? html`<p>No tray is in use.</p>`
        : html`<div class="cards">${cards}</div>`,
  };
}

const CARD_DAYS = 14;

/** A page for each brooder that has birds: the heat of each day, and a line to write on. */
function brooderCards({ season, now }: SheetMatter): Sheet {
  const columns = asked('loss', ['group']);
  const flock = [...flockOf(season).groups.values()];
  const stays = staysOf(season, flock, now, nightsOf(season));
  const until = addDays(now.day, CARD_DAYS);
  const used = [...season.brooders.values()].filter((brooder) =>
    stays.some((stay) => stay.brooder === brooder.name && stay.from < until && now.day < stay.to),
  );
  const leaves = used.map(({ name: brooder }) => {
    const heatOn = roofHeatOf(season, stays, brooder);
    const heat = (day: Day): string => {
      const need = heatOn(day);
      return need === null ? 'none' : heatText(need, season.values.units.temperature);
    };
    const inside = flock.flatMap((group) => {
      const birds = birdsIn(group, brooder, now.day);
      const lines = group.lines.map((line) => line.name).join(' and ');
      return birds > 0
        ? [
            `${group.name} (${counted(birds, 'bird')} of ${lines}, hatched ${dayMonth(group.youngest)})`,
          ]
        : [];
    });
    return html`
      <section class="leaf"><h2>${brooder}</h2>
      <p>${inside.length === 0 ? 'No birds are in it yet.' : `In it: ${inside.join('; ')}.`}</p>
      ${typedIn(['traybook add loss GROUP --birds N --cause …'])}
      ${cautions('brooder')}
      ${toWrite(
        [name('day'), name('heat wanted'), given('heat, at the birds'), name('group')],
        columns,
        daysIn(now.day, until).map((day) => [weekdayMonth(day), heat(day), null, null]),
      )}</section>
    `;
  });
  return {
    title: 'Brooder card',
    body:
      season.brooders.size === 0
        ? html`<p>season.yaml names no brooder.</p>`
        : leaves.length === 0
          ? html`<p>No birds are in a brooder or on the way to one.</p>`
          : leaves,
  };
}

/** Hours, and °C of the room, that the card for a power cut is reckoned for. */
const CARD_HOURS = [1, 3, 6, 12, 24];
const CARD_ROOMS_C = [5, 10, 15, 20];

/** One page to hang by the machines: what is in them, how they cool, what to do, what to write down. */
function powerCard({ season }: SheetMatter): Sheet {
  const unit = season.values.units.temperature;
  const degrees = (celsius: number): string => `${wholeDegrees(celsius, unit)} °${unit}`;
  const { short_hours, young_days, late_share, suspended_c, unbalanced_c } = powerFigures;
  const inside = [...season.sets.values()].filter((set) =>
    set.shares.some((share) => share.stage !== 'finished' && share.live > 0),
  );
  const dayOf = (set: EggSet, days: number): string => weekdayMonth(addDays(set.on.day, days));
  const steps = [
    `Write down the hour. Keep it shut, lay blankets over it, air holes free. Up to ${short_hours.value} hours do no great harm.`,
    `Late eggs make heat of their own: ${cutSteps[0]}. Young eggs bear cold better than heat.`,
    'Never a flame. No gas, paraffin or charcoal without a flue and an alarm; a generator runs outdoors.',
    'Chicks under a lamp bear it worst: bring them together, warm bottles, a box with a lid that breathes.',
    `Power is back: read the thermometer before you leave; ${cutSteps[1]}.`,
    `Then ${cutSteps[2]}.`,
  ];
  const cooling = grid(
    ['room', ...CARD_HOURS.map((hours) => `after ${hours} h`)].map((one) => head(one)),
    CARD_ROOMS_C.map((room) => [
      degrees(room),
      ...CARD_HOURS.map((hours) => degrees(cooledTo(RUNNING_C, room, hours))),
    ]),
    'how it cools',
  );
  const sets = grid(
    ['set', 'where', 'set on', 'young until', 'late from', 'hatch'].map((one) => head(one)),
    inside.map((set) => {
      const { hatch_day } = set.species;
      const share = set.shares.find((one) => one.live > 0)!;
      return [
        set.name,
        share.hatcher ?? share.trays[0]?.setter ?? '',
        weekdayMonth(set.on.day),
        dayOf(set, young_days.value),
        dayOf(set, Math.ceil(late_share.value * hatch_day.value)),
        dayOf(set, hatch_day.value),
      ];
    }),
    'sets',
  );
  return {
    title: 'When the power fails',
    body: [
      html`<ol class="steps">${steps.map((step) => html`<li>${step}</li>`)}</ol>`,
      html`<h2>How a machine cools while it is shut</h2>${cooling}`,
      how(
        `Reckoned, not measured on your machine. Above ${degrees(unbalanced_c.value.high)} growth goes on; below ${degrees(suspended_c.value)} it stands still, which young eggs bear best; between, it goes on out of step.`,
      ),
      html`<h2>What is in them</h2>${inside.length === 0 ? html`<p>Nothing is set.</p>` : sets}`,
      html`<h2>Written down</h2>`,
      toWrite(
        [name('day')],
        ['off at', 'on again at', 'lowest in machine', 'room', 'in band again at'],
        [[null], [null]],
      ),
      typedIn(
        ['traybook add reading all --event power-off --minutes N --room N'],
        'Typed in for every machine in use: ',
      ),
    ],
  };
}

type SetRow = {
  readonly name: string;
  readonly eggs: number;
  readonly isDone: boolean;
  readonly dates: Milestones;
};

const eggsOf = (shares: readonly { readonly eggs: number }[]): number =>
  shares.reduce((sum, share) => sum + share.eggs, 0);

/** The season on the wall: a chart of days, a row for each set to tick, the goals. */
function seasonSheet({ season, now }: SheetMatter): Sheet {
  const { from, to } = wholeSpan(season, now);
  const rows = stayRows(placesOf(season, now, from, to));
  const recorded = [...season.sets.values()].map(
    (set): SetRow => ({
      name: set.name,
      eggs: eggsOf(set.shares),
      isDone: set.shares.every((share) => share.stage === 'finished'),
      dates: milestonesOfSet(set, season),
    }),
  );
  const planned = openPlan(season).map(
    (line): SetRow => ({
      name: line.name,
      eggs: eggsOf(line.shares),
      isDone: false,
      dates: milestonesOfPlanned(line, season),
    }),
  );
  const sets = [...recorded.filter((set) => !set.isDone), ...planned].sort((a, b) =>
    a.dates.set < b.dates.set ? -1 : 1,
  );
  const done = recorded.filter((set) => set.isDone).map((set) => set.name);
  const picture = staysPicture(rows, from, to, now.day, WALL_WIDTH);
  const columns = ['set', 'eggs', 'set on', 'candle', 'transfer', 'hatch', 'last opening', 'done'];
  const table = grid(
    columns.map((one) => head(one)),
    sets.map(({ name, eggs, dates }) => [
      name,
      eggs,
      weekdayMonth(dates.set),
      dates.candle.map(dayMonth).join(', '),
      weekdayMonth(dates.transfer),
      weekdayMonth(dates.hatch),
      dayMonth(dates.lastOpening),
      html`<td class="tick"></td>`,
    ]),
    'sets',
  );
  const goals = [...season.values.goals, ...season.values.orders].map(
    (goal) => html`
      <li>${box}<div><strong>
      ${wantedWords(goal, goal.line)}</strong>
      ${` by ${dayMonth(goal.by)}${'for' in goal ? ` for ${goal.for}` : ''}`}</div></li>
    `,
  );
  return {
    title: 'The season',
    body: [
      rows.length === 0
        ? html`<p>Nothing is set or planned.</p>`
        : drawn(picture, WALL_WIDTH, {
            'aria-label': 'Who is in which tray, hatcher and brooder, by day',
          }),
      html`
        <div class="beside"><div>${table}
        ${done.length > 0 && how(`Finished: ${done.join(', ')}.`)}</div><div><h2>Goals</h2>
        ${
          season.values.goals.length === 0
            ? html`<p>season.yaml names no goals.</p>`
            : html`<ul class="tasks">${goals}</ul>`
        }</div></div>
      `,
    ],
  };
}

/** Units across of the picture on the wall: letters of 14 are then some ten points high. */
const WALL_WIDTH = 1050;
