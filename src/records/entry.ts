const ALPHABET = '0123456789abcdefghjkmnpqrstvwxyz';
const LENGTH = 10;

/** A new entry, unlike any in use. `random` gives random bytes. */
export function newEntry(
  random: (bytes: number) => Uint8Array,
  inUse: ReadonlySet<string>,
): string {
  for (;;) {
    const entry = [...random(LENGTH)].map((byte) => ALPHABET[byte % ALPHABET.length]).join('');
    if (!inUse.has(entry)) return entry;
  }
}
