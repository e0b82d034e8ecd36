import { z } from "zod";

/** The keys that a schema's objects have at a path of a document; empty where there is no object. */
export function schemaKeys(schema: z.ZodType, path: readonly PropertyKey[]): string[] {
  let here: z.core.$ZodType = unwrap(schema);
  for (const part of path) {
    const next = child(here, part);
    if (next === null) return [];
    here = unwrap(next);
  }
  return here instanceof z.ZodObject ? Object.keys(here.shape) : [];
}

function child(schema: z.core.$ZodType, part: PropertyKey): z.core.$ZodType | null {
  if (schema instanceof z.ZodObject) return schema.shape[String(part)] ?? null;
  if (schema instanceof z.ZodArray) return schema.element;
  if (schema instanceof z.ZodRecord) return schema.valueType;
  return null;
}

function unwrap(schema: z.core.$ZodType): z.core.$ZodType {
  if (schema instanceof z.ZodOptional) return unwrap(schema.unwrap());
  if (schema instanceof z.ZodUnion) {
    return (schema.options as z.core.$ZodType[]).map(unwrap).find((o) => o instanceof z.ZodObject) ?? schema;
  }
  return schema;
}
