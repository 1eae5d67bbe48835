const ALPHABET = '0123456789abcdefghjkmnpqrstvwxyz';
const LENGTH = 10;
/** No spreadsheet takes an entry for a number, as `1234567e89`, if a letter begins it. */
const FIRST = [...ALPHABET].filter((one) => /[a-z]/.test(one));

/** A new entry, unlike any in use. `random` gives random bytes. */
export function newEntry(
  random: (bytes: number) => Uint8Array,
  inUse: ReadonlySet<string>,
): string {
  for (;;) {
    const bytes = [...random(LENGTH)];
    const cells = bytes.map((byte) => ALPHABET[byte % ALPHABET.length]!);
    if (!FIRST.includes(cells[0]!)) cells[0] = FIRST[bytes[0]! % FIRST.length]!;
    const entry = cells.join('');
    if (!inUse.has(entry)) return entry;
  }
}
