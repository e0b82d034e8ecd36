import type { ColumnRef } from "../site/column-map-schema";
import type { ShapedHead } from "./log-shape";
import { readHead } from "./read-head";

/**
 * The first bytes of a log as far as its shape hangs on them; null where they are no table.
 *
 * @param timeColumns columns that maps take the time from: a row that has one of their names is the header
 */
export function shapedHead(
  name: string,
  bytes: Uint8Array,
  whole: boolean,
  timeColumns: readonly (ColumnRef | readonly ColumnRef[])[],
): ShapedHead | null {
  const known = timeColumns.flat().filter((ref) => typeof ref === "string");
  const read = readHead(name, bytes, whole, known);
  if (!read.ok) return null;
  const { header, headerLine, dialect, rows } = read.head;
  return {
    names: header.names,
    hasHeader: headerLine > 0,
    delimiter: dialect.delimiter,
    decimalMark: dialect.decimalMark,
    rows,
  };
}
