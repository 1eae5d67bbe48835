export type Row = { name: string; summary: string };

const OPEN = '<!-- commands: made from src/commands/index.ts -->';
const CLOSE = '<!-- end of commands -->';

/** README with its command table made anew from the program's own list. */
export function withCommandTable(page: string, commands: readonly Row[]): string {
  const from = page.indexOf(OPEN);
  const to = page.indexOf(CLOSE);
  if (from < 0 || to < from) throw new Error(`README.md lacks the lines ${OPEN} and ${CLOSE}`);
  const rows = commands.map(({ name, summary }) => `| \`traybook ${name}\` | ${summary} |`);
  const table = ['| command | does |', '| --- | --- |', ...rows].join('\n');
  return `${page.slice(0, from)}${OPEN}\n${table}\n${page.slice(to)}`;
}
