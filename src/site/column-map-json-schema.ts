import { z } from "zod";
import { columnMapSchema } from "./column-map-schema";

/** The JSON Schema (draft 2020-12) of columns.json, made from the zod schema; served at /schemas/columns.json. */
export function columnMapJsonSchema(): Record<string, unknown> {
  return {
    ...z.toJSONSchema(columnMapSchema, { io: "input" }),
    title: "columns.json",
    $id: "/schemas/columns.json",
  };
}
