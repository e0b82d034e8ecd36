import type { PgColumn } from "drizzle-orm/pg-core";

/**
 * Rows as JSON that PostgreSQL's json_populate_recordset reads back to the bit: under the columns' names in the
 * database, bytes in hexadecimal, NaN and infinities by name, since JSON has no numbers for them.
 *
 * @param columns the table's, by their keys in `rows`; other keys of a row are left out
 */
export function rowsJson(
  columns: { readonly [key: string]: Pick<PgColumn, "name"> },
  rows: readonly { readonly [key: string]: unknown }[],
): string {
  const named = Object.entries(columns).map(([key, { name }]) => ({ key, name }));
  return JSON.stringify(
    rows.map((row) => {
      const values: { [name: string]: unknown } = {};
      for (const { key, name } of named) values[name] = jsonValue(row[key]);
      return values;
    }),
  );
}

function jsonValue(value: unknown): unknown {
  if (value instanceof Uint8Array) return `\\x${Buffer.from(value).toString("hex")}`;
  if (typeof value === "number" && !Number.isFinite(value)) return String(value);
  return value;
}
