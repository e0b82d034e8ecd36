import { AppError } from "../../db/app-error";
import type { SniffedLog } from "../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import { parseColumnMap } from "../../src/site/parse-column-map";
import { columnRefs, columnsJson, readMapForm } from "./column-map-form";
import { hasHeader } from "./sniffed-header";

/** Columns.json in text form is far smaller than this; what is larger isn't one. */
const MAX_CHARACTERS = 500_000;

/**
 * The map that a form says: the file of it that was chosen, else its text where the form says so, else the choices by
 * column.
 *
 * @throws AppError bad-input with everything that is wrong with it
 */
export async function givenMap(
  form: FormData,
  inferred: Pick<SniffedLog, "names" | "evidence">,
): Promise<ColumnMapInput> {
  const parsed = parseColumnMap(await jsonOf(form, inferred));
  if (parsed.ok) return parsed.map;
  throw refusedMap(parsed.problems.map(({ message, hint }) => `${message} ${hint}`));
}

/** What is wrong with a map, a sentence a line. */
export function refusedMap(sentences: readonly string[]): AppError {
  return new AppError("bad-input", sentences.join("\n"));
}

async function jsonOf(form: FormData, inferred: Pick<SniffedLog, "names" | "evidence">): Promise<unknown> {
  const file = form.get("jsonFile");
  if (file instanceof File && file.size > 0) {
    if (file.size > MAX_CHARACTERS) {
      throw refusedMap([`The file has ${file.size} bytes; a columns.json has at most ${MAX_CHARACTERS}.`]);
    }
    return parseText(await file.text());
  }
  if (form.get("useJson") === "on") return parseText(String(form.get("json") ?? ""));
  const { names } = inferred;
  const { columns, texts } = readMapForm(form, names.length);
  const made = columnsJson(columns, texts, columnRefs(names, hasHeader(inferred)));
  if (!made.ok) throw refusedMap(made.problems);
  return made.json;
}

function parseText(text: string): unknown {
  try {
    return JSON.parse(text.slice(0, MAX_CHARACTERS));
  } catch (error) {
    throw refusedMap([`The text of columns.json is not JSON: ${(error as Error).message}.`]);
  }
}
