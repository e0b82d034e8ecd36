import { createRecordReader } from "./record-reader";
import type { Dialect } from "./sniff/dialect";

/** Records with their physical lines, from 1. */
export type SpreadRecords = { readonly rows: string[][]; readonly lines: number[] };

/** Most records of a head that are read where it has more. */
const MOST_RECORDS = 4000;
/** Records at the beginning that are read one and all: the header stands among them. */
const FIRST_RECORDS = 450;

/**
 * Records of a head that has many: the first ones, and then every so many, up to MOST_RECORDS. Making cells of all
 * of them would cost more than all the rest of sniffing. Null where a line may be no record, or where there are no
 * more than that.
 *
 * @param whole whether the last line is whole though nothing ends it
 */
export function spreadRecords(text: string, dialect: Dialect, whole: boolean): SpreadRecords | null {
  const { delimiter, newline, columns } = dialect;
  if (text.indexOf('"') !== -1) return null;
  const ends: number[] = [];
  for (let at = text.indexOf(newline); at !== -1; at = text.indexOf(newline, at + 1)) ends.push(at + 1);
  if (whole && (ends[ends.length - 1] ?? 0) < text.length) ends.push(text.length);
  if (ends.length <= MOST_RECORDS) return null;
  const every = Math.ceil((ends.length - FIRST_RECORDS) / (MOST_RECORDS - FIRST_RECORDS));
  const lines: number[] = [];
  const texts: string[] = [];
  for (let i = 0; i < ends.length; i += i < FIRST_RECORDS ? 1 : every) {
    lines.push(i + 1);
    texts.push(text.slice(i === 0 ? 0 : ends[i - 1], ends[i]));
  }
  const reader = createRecordReader({ delimiter, newline, columns });
  const first = reader.push(texts.join(""));
  const last = reader.end();
  const rows = [...first.rows, ...last.rows];
  // A CR by itself ends a line too, which then isn't one record.
  return rows.length === lines.length && first.broken.length === 0 ? { rows, lines } : null;
}
