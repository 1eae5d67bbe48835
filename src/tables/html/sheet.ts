import { nightsOf, roofHeatOf, staysOf } from '../../facts/birds/brooders.ts';
import { birdsIn, flockOf } from '../../facts/birds/groups.ts';
import { cooledTo, powerFigures, RUNNING_C } from '../../facts/cooling.ts';
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
import { dayMonth, longDay, weekdayMonth } from '../numbers.ts';
import { placesOf, stayRows, wholeSpan } from '../occupancy.ts';
import { isPressing } from '../today.ts';
import { wantedWords } from '../words.ts';
import { type Attributes, type Child, element, type Markup, together } from './element.ts';
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
  const isWall = kind === 'season';
  return document(
    `${title}, ${matter.now.day}`,
    isWall ? css + landscape : css,
    element(
      'main',
      { class: isWall ? 'wall' : null },
      element('h1', {}, title),
      element(
        'p',
        { class: 'how' },
        `${matter.season.values.place.name}, season ${matter.season.values.season}. As of ${longDay(matter.now.day)}, ${matter.now.time}.`,
      ),
      body,
    ),
  );
}

type Sheet = { readonly title: string; readonly body: Markup };

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

function none(words: string): Markup {
  return element('p', {}, words);
}

/** One page: what is overdue and due with boxes, the daily round and what comes in a line each. */
function daySheet({ tasks, now }: SheetMatter): Sheet {
  const list = (title: string, some: readonly Task[]): Child =>
    some.length === 0
      ? null
      : [
          element('h2', {}, title),
          element(
            'ul',
            { class: 'tasks two' },
            some.map((task) =>
              element(
                'li',
                {},
                element('span', { class: 'box' }),
                element('div', {}, element('strong', {}, task.title)),
              ),
            ),
          ),
        ];
  const line = (title: string, words: readonly string[]): Child =>
    words.length === 0
      ? null
      : [element('h2', {}, title), element('p', { class: 'line' }, `${words.join('; ')}.`)];
  const pressing = (state: Task['state']) =>
    tasks.filter((task) => isPressing(task) && task.state === state);
  const of = (name: TaskClass) => tasks.filter((task) => task.class === name);
  const titles = (some: readonly Task[]) => some.map((task) => task.title);
  return {
    title: `The day: ${longDay(now.day)}`,
    body: together(
      list('Overdue', pressing('overdue')),
      list('Today', pressing('due')),
      tasks.length === 0 ? none('Nothing is due.') : null,
      line('Every day', titles(of('routine').filter((task) => task.daily))),
      line('Long overdue', titles(of('routine').filter((task) => !task.daily))),
      line(
        'Coming',
        of('coming').map((task) => `${weekdayMonth(task.due)}: ${task.title}`),
      ),
      element('h2', {}, 'Seen and done'),
      typedIn([
        `traybook add eggs ${gathered(tasks)
          .map((pen) => `${pen}=laid/kept`)
          .join(' ')}`.trimEnd(),
      ]),
      toWrite(
        [{ name: 'pen', kind: 'name' }],
        asked('eggs', ['pen']),
        [...gathered(tasks), null, null].map((pen) => [pen]),
      ),
    ),
  };
}

/** Pens whose eggs are to be gathered, for the day's egg rows. */
function gathered(tasks: readonly Task[]): string[] {
  return [...new Set(tasks.filter((one) => one.kind === 'collect').map((one) => one.place))].filter(
    (pen) => pen !== null,
  );
}

type Given = { readonly name: string; readonly kind: 'name' | 'given' };

/** Columns to count that stand beside each other in letters of the usual size. */
const FEW = 7;

/** What a cell holds; null is to be written in. */
type Cell = Markup | string | number | null;

const blank = element('td', { class: 'blank' });
const wideBlank = element('td', { class: 'blank wide' });

/** A table whose rows begin with a name. On a phone it scrolls by itself, so the keyboard reaches it. */
function grid(
  heads: readonly Markup[] | readonly string[],
  rows: readonly (readonly Cell[])[],
  attributes: Attributes = {},
  label = 'to write in',
): Markup {
  const cellOf = (cell: Cell, index: number): Markup => {
    if (cell === null) return blank;
    if (typeof cell === 'object') return cell;
    return index === 0 ? element('th', { scope: 'row' }, cell) : element('td', {}, cell);
  };
  const head = heads.map((one) =>
    typeof one === 'string' ? element('th', { scope: 'col' }, one) : one,
  );
  return element(
    'div',
    { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': label },
    element(
      'table',
      attributes,
      element('thead', {}, element('tr', {}, head)),
      element(
        'tbody',
        {},
        rows.map((row) => element('tr', {}, row.map(cellOf))),
      ),
    ),
  );
}

/** A table to write in: what is known of each row, an empty cell for each column asked, a note. */
function toWrite(
  given: readonly Given[],
  asked: readonly string[],
  rows: readonly (readonly Cell[])[],
): Markup {
  return grid(
    [
      ...given.map(({ name, kind }) => element('th', { scope: 'col', class: kind }, name)),
      ...asked.map((column) => element('th', { scope: 'col' }, column.replaceAll('_', ' '))),
      element('th', { scope: 'col', class: 'wide' }, 'note'),
    ],
    rows.map((row) => [...row, ...asked.map(() => null), wideBlank]),
    { class: asked.length > FEW ? 'many' : null },
  );
}

/** Columns of a record that the keeper counts, as `add --ask` asks for them. */
function asked(record: RecordName, known: readonly string[]): string[] {
  return Object.keys(kindOf(record).columns).filter((column) => !known.includes(column));
}

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
  const columns = asked('candling', ['set', 'pen']);
  const given: Given[] = [
    { name: 'set', kind: 'name' },
    { name: 'pen', kind: 'name' },
    { name: 'tray', kind: 'given' },
    { name: 'day', kind: 'given' },
    { name: 'eggs in', kind: 'given' },
  ];
  return {
    title: 'Candling',
    body:
      shares.length === 0
        ? none('No eggs are in the setter.')
        : together(
            element(
              'p',
              {},
              'Count what comes out. Doubtful eggs stay in and are looked at again.',
            ),
            commands('candling', shares),
            toWrite(
              given,
              columns,
              shares.map((share) => [
                share.set,
                share.pen.name,
                traysOf(share),
                daysBetween(share.on.day, matter.now.day),
                share.live,
              ]),
            ),
          ),
  };
}

const OPENINGS = 3;

function hatchSheet(matter: SheetMatter): Sheet {
  const shares = sharesWhere(
    matter,
    (share) => share.stage === 'in-hatcher' || (share.underHen && share.stage === 'in-setter'),
  );
  const columns = asked('hatch', ['set', 'pen']);
  const given: Given[] = [
    { name: 'set', kind: 'name' },
    { name: 'pen', kind: 'name' },
    { name: 'eggs in', kind: 'given' },
    { name: 'date, hour', kind: 'name' },
  ];
  return {
    title: 'Hatch',
    body:
      shares.length === 0
        ? none('No eggs are in a hatcher or under a hen.')
        : together(
            element(
              'p',
              {},
              'One line for each opening. At the last one count what did not hatch, and tick final.',
            ),
            commands('hatch', shares),
            toWrite(
              given,
              columns,
              shares.flatMap((share) =>
                Array.from({ length: OPENINGS }, (_, index) => [
                  share.set,
                  share.pen.name,
                  index === 0 ? share.live : '',
                  null,
                ]),
              ),
            ),
            element(
              'p',
              { class: 'how' },
              'Chicks that hatch weak, and late embryos found alive, are to be handled as chicks. For how to put a suffering bird down, follow your local rules and ask a vet.',
            ),
            cautions('hatch'),
          ),
  };
}

/** The cautions a sheet carries, one a line. */
function cautions(sheet: SheetKind): Child {
  return cautionLines(cautionsOfSheet(sheet)).map((line) => element('p', { class: 'how' }, line));
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
  const columns = asked('breakout', ['set', 'pen']);
  const given: Given[] = [
    { name: 'set', kind: 'name' },
    { name: 'pen', kind: 'name' },
  ];
  const terms = [...new Set(shares.map((share) => share.pen.line.species.hatch_day.value))];
  return {
    title: 'Breakout',
    body: together(
      cautions('breakout'),
      shares.length === 0
        ? none('No eggs have come out of a machine.')
        : together(
            commands('breakout', shares),
            toWrite(
              given,
              columns,
              shares.map((share) => [share.set, share.pen.name]),
            ),
          ),
      terms.map((term) => [
        element('h2', {}, `What is seen, in a term of ${term} days`),
        deathsAt(term).map((death) => element('p', {}, `${deathWords(death)}.`)),
      ]),
    ),
  };
}

/** What to type afterwards, as `add` takes it in one command. */
function typedIn(lines: readonly string[]): Markup {
  return element(
    'p',
    { class: 'how' },
    'Typed in by ',
    lines.map((line, index) => [index === 0 ? '' : ', ', element('code', {}, line)]),
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

function dated(label: string, day: Day): Child {
  return [element('dt', {}, label), element('dd', {}, weekdayMonth(day))];
}

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
    return places.map(({ place, eggs }) =>
      element(
        'article',
        { class: 'card' },
        element('h2', {}, share.set),
        element('p', { class: 'place' }, `${share.pen.name}: ${eggs} ${share.pen.line.name} eggs`),
        element('p', { class: 'place' }, place),
        element(
          'dl',
          {},
          dated('set', dates.set),
          dates.candle.map((day) => dated('candle', day)),
          hatchesInPlace(matter.season, share) ? null : dated('to hatcher', dates.transfer),
          dated('hatch', dates.hatch),
          dated('last look', dates.lastOpening),
        ),
      ),
    );
  });
  return {
    title: 'Tray cards',
    body:
      cards.length === 0 ? none('No tray is in use.') : element('div', { class: 'cards' }, cards),
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
  const leaves = used.map((brooder) => {
    const groups = flock.filter((group) => birdsIn(group, brooder.name, now.day) > 0);
    const heatOn = roofHeatOf(season, stays, brooder.name);
    const heat = (day: Day): string => {
      const need = heatOn(day);
      return need === null ? 'none' : heatText(need, season.values.units.temperature);
    };
    return element(
      'section',
      { class: 'leaf' },
      element('h2', {}, brooder.name),
      element(
        'p',
        {},
        groups.length === 0
          ? 'No birds are in it yet.'
          : `In it: ${groups
              .map(
                (group) =>
                  `${group.name} (${birdsIn(group, brooder.name, now.day)} birds of ${group.lines.map((line) => line.name).join(' and ')}, hatched ${dayMonth(group.youngest)})`,
              )
              .join('; ')}.`,
      ),
      typedIn(['traybook add loss GROUP --birds N --cause …']),
      cautions('brooder'),
      toWrite(
        [
          { name: 'day', kind: 'name' },
          { name: 'heat wanted', kind: 'name' },
          { name: 'heat, at the birds', kind: 'given' },
          { name: 'group', kind: 'name' },
        ],
        columns,
        daysIn(now.day, until).map((day) => [weekdayMonth(day), heat(day), null, null]),
      ),
    );
  });
  return {
    title: 'Brooder card',
    body:
      season.brooders.size === 0
        ? none('season.yaml names no brooder.')
        : leaves.length === 0
          ? none('No birds are in a brooder or on the way to one.')
          : together(leaves),
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
  return {
    title: 'When the power fails',
    body: together(
      element(
        'ol',
        { class: 'steps' },
        steps.map((step) => element('li', {}, step)),
      ),
      element('h2', {}, 'How a machine cools while it is shut'),
      grid(
        ['room', ...CARD_HOURS.map((hours) => `after ${hours} h`)],
        CARD_ROOMS_C.map((room) => [
          degrees(room),
          ...CARD_HOURS.map((hours) => degrees(cooledTo(RUNNING_C, room, hours))),
        ]),
        {},
        'how it cools',
      ),
      element(
        'p',
        { class: 'how' },
        `Reckoned, not measured on your machine. Above ${degrees(unbalanced_c.value.high)} growth goes on; below ${degrees(suspended_c.value)} it stands still, which young eggs bear best; between, it goes on out of step.`,
      ),
      element('h2', {}, 'What is in them'),
      inside.length === 0
        ? none('Nothing is set.')
        : grid(
            ['set', 'where', 'set on', 'young until', 'late from', 'hatch'],
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
            {},
            'sets',
          ),
      element('h2', {}, 'Written down'),
      toWrite(
        [{ name: 'day', kind: 'name' }],
        ['off at', 'on again at', 'lowest in machine', 'room', 'in band again at'],
        [[null], [null]],
      ),
      element(
        'p',
        { class: 'how' },
        'Typed in for every machine in use: ',
        element('code', {}, 'traybook add reading all --event power-off --minutes N --room N'),
      ),
    ),
  };
}

type SetRow = {
  readonly name: string;
  readonly eggs: number;
  readonly isDone: boolean;
  readonly dates: Milestones;
};

/** The season on the wall: a chart of days, a row for each set to tick, the goals. */
function seasonSheet({ season, now }: SheetMatter): Sheet {
  const { from, to } = wholeSpan(season, now);
  const rows = stayRows(placesOf(season, now, from, to));
  const recorded = [...season.sets.values()].map(
    (set): SetRow => ({
      name: set.name,
      eggs: set.shares.reduce((sum, share) => sum + share.eggs, 0),
      isDone: set.shares.every((share) => share.stage === 'finished'),
      dates: milestonesOfSet(set, season),
    }),
  );
  const planned = openPlan(season).map(
    (line): SetRow => ({
      name: line.name,
      eggs: line.shares.reduce((sum, share) => sum + share.eggs, 0),
      isDone: false,
      dates: milestonesOfPlanned(line, season),
    }),
  );
  const sets = [...recorded.filter((set) => !set.isDone), ...planned].sort((a, b) =>
    a.dates.set < b.dates.set ? -1 : 1,
  );
  const done = recorded.filter((set) => set.isDone).map((set) => set.name);
  const picture = staysPicture(rows, from, to, now.day, WALL_WIDTH);
  const head = ['set', 'eggs', 'set on', 'candle', 'to hatcher', 'hatch', 'last opening', 'done'];
  return {
    title: 'The season',
    body: together(
      rows.length === 0
        ? none('Nothing is set or planned.')
        : element(
            'svg',
            {
              viewBox: `0 0 ${WALL_WIDTH} ${picture.height}`,
              role: 'img',
              'aria-label': 'Who is in which tray, hatcher and brooder, by day',
            },
            picture.marks,
          ),
      element(
        'div',
        { class: 'beside' },
        element(
          'div',
          {},
          grid(
            head,
            sets.map(({ name, eggs, dates }) => [
              name,
              eggs,
              weekdayMonth(dates.set),
              dates.candle.map(dayMonth).join(', '),
              weekdayMonth(dates.transfer),
              weekdayMonth(dates.hatch),
              dayMonth(dates.lastOpening),
              element('td', { class: 'tick' }),
            ]),
            {},
            'sets',
          ),
          done.length === 0
            ? null
            : element('p', { class: 'how' }, `Finished: ${done.join(', ')}.`),
        ),
        element(
          'div',
          {},
          element('h2', {}, 'Goals'),
          season.values.goals.length === 0
            ? none('season.yaml names no goals.')
            : element(
                'ul',
                { class: 'tasks' },
                [...season.values.goals, ...season.values.orders].map((goal) =>
                  element(
                    'li',
                    {},
                    element('span', { class: 'box' }),
                    element(
                      'div',
                      {},
                      element(
                        'strong',
                        {},
                        `${wantedWords({ ...goal, at: goal.at ?? null })} of ${goal.line}`,
                      ),
                      ` by ${dayMonth(goal.by)}${'for' in goal ? ` for ${goal.for}` : ''}`,
                    ),
                  ),
                ),
              ),
        ),
      ),
    ),
  };
}

/** Units across of the picture on the wall: letters of 14 are then some ten points high. */
const WALL_WIDTH = 1050;
