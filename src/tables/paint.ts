/** What a line means to the keeper. Each is told three ways: by a sign, a word and a colour. */
export type Meaning = 'act' | 'watch' | 'settled';

/** Letters for a terminal that can show them; each leaves the text as it is elsewhere. */
export type Paint = Readonly<Record<Meaning | 'bold' | 'dim', (text: string) => string>>;

const same = (text: string): string => text;
export const unpainted: Paint = { act: same, watch: same, settled: same, bold: same, dim: same };
