/** What keepers call their columns: `seeds/headers.yaml`. */
import file from '../../seeds/headers.yaml';

const headers = (file as { headers: Record<string, readonly string[]> }).headers;

/** A header in the form in which it is compared: small letters, no signs, no "number of". */
function plain(header: string): string {
  return header
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .replace(/\b(number of|the|of)\b/g, ' ')
    .replace(/\s+/g, ' ')
    .trim();
}

/** The columns of ours that a header usually means, of those asked about. */
export function meantBy(header: string, ours: readonly string[]): string[] {
  const word = plain(header);
  return ours.filter((column) => (headers[column] ?? []).some((one) => plain(one) === word));
}
