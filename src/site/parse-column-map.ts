import { columnMapContradictions } from "./column-map-contradictions";
import { type ColumnMapInput, columnMapSchema } from "./column-map-schema";
import { type JsonProblem, jsonProblems } from "./json-problems";
import { schemaKeys } from "./schema-keys";

/** A valid columns.json as written; or everything that is wrong with the document. */
export type ParsedColumnMap =
  | { readonly ok: true; readonly map: ColumnMapInput }
  | { readonly ok: false; readonly problems: readonly JsonProblem[] };

/**
 * Reads a columns.json (already parsed from JSON text). Never throws for what the document holds. Nothing
 * is filled in here: what is not written is inferred from the log or asked for (`sniffLog`).
 */
export function parseColumnMap(json: unknown): ParsedColumnMap {
  const parsed = columnMapSchema.safeParse(json);
  if (parsed.success) {
    const problems = columnMapContradictions(parsed.data);
    return problems.length === 0 ? { ok: true, map: parsed.data } : { ok: false, problems };
  }
  return {
    ok: false,
    problems: jsonProblems(parsed.error.issues, json, {
      knownKeys: (path) => schemaKeys(columnMapSchema, path),
      hintFor: columnHint,
      reasonFor: () => null,
    }),
  };
}

function columnHint(path: readonly PropertyKey[]): string | null {
  switch (path.findLast((part) => typeof part === "string") ?? "") {
    case "column":
      return 'Give the name of a column as in the header, or its number from 1 where the log has none. Only signed channels can have { "plus": …, "minus": … }.';
    case "format":
      return 'Such as "auto", "epoch-s", "epoch-ms", "epoch-us", "spreadsheet-day", "dd/MM/yyyy HH:mm:ss", "M/d/yyyy h:mm a".';
    case "zone":
      return 'Such as "site", "UTC", "America/Denver", "-07:00".';
    case "date":
      return 'The day of the log\'s first row, such as "2026-05-01".';
    case "delimiter":
      return 'One of ",", ";", "|" and "\\t" (tab).';
    case "headerLine":
      return "The line of the column names, from 1; 0 where the log has none.";
    case "version":
      return 'Write "version": 1.';
    default:
      return null;
  }
}
