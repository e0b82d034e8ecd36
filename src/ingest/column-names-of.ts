import type { ColumnMap } from "../site/column-map";
import type { ColumnMapInput, ColumnRef } from "../site/column-map-schema";

/** The names of columns that a column map, whole or part, refers to: its log's header has them. */
export function columnNamesOf(map: ColumnMapInput | ColumnMap): string[] {
  const refs: ColumnRef[] = [map.time?.column ?? []].flat() as ColumnRef[];
  for (const entry of Object.values(map.channels ?? {})) {
    const column = entry?.column;
    if (typeof column === "object") refs.push(column.plus, column.minus);
    else if (column !== undefined) refs.push(column);
  }
  return refs.filter((ref) => typeof ref === "string");
}
