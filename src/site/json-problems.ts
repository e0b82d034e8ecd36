import type { z } from "zod";
import { BOUNDS } from "./bounds";
import { nearestName } from "./nearest-name";

/** What is wrong with one place of a JSON document: where, what, and how to mend it. */
export type JsonProblem = {
  /** "ratings[0].legLimitW"; empty for the document as a whole. */
  readonly path: string;
  readonly message: string;
  readonly hint: string;
};

/** Keys that a schema knows at a path, and hints for particular keys, given by the document's parser. */
export type ProblemGuide = {
  readonly knownKeys: (path: readonly PropertyKey[]) => readonly string[];
  readonly hintFor: (path: readonly PropertyKey[]) => string | null;
  /** A reason for refusing an unknown key that says more than "unknown"; null for none. */
  readonly reasonFor: (key: string) => { message: string; hint: string } | null;
};

/**
 * Turns what zod found into problems that say what, where and how to mend it. `document` is the JSON that
 * was parsed: the refused value is quoted from it.
 */
export function jsonProblems(
  issues: readonly z.core.$ZodIssue[],
  document: unknown,
  guide: ProblemGuide,
): JsonProblem[] {
  const problems: JsonProblem[] = [];
  for (const issue of issues) {
    if (issue.code === "unrecognized_keys") {
      for (const key of issue.keys) problems.push(unknownKey(key, issue.path, guide));
      continue;
    }
    const unknown = unknownKeyInUnion(issue);
    if (unknown !== null) {
      for (const key of unknown.keys) problems.push(unknownKey(key, [...issue.path, ...unknown.path], guide));
      continue;
    }
    const path = pathText(issue.path);
    const value = valueAt(document, issue.path);
    problems.push({
      path,
      message: sentence(issue, path, value),
      hint: guide.hintFor(issue.path) ?? hint(issue),
    });
  }
  return problems;
}

/** Of a value that fits no form: the form of which only a key is unknown, if there is one. */
function unknownKeyInUnion(issue: z.core.$ZodIssue): z.core.$ZodIssueUnrecognizedKeys | null {
  if (issue.code !== "invalid_union") return null;
  for (const errors of issue.errors) {
    const unknown = errors.find((e) => e.code === "unrecognized_keys");
    if (unknown !== undefined) return unknown;
  }
  return null;
}

function unknownKey(key: string, path: readonly PropertyKey[], guide: ProblemGuide): JsonProblem {
  const at = pathText([...path, key]);
  const reason = guide.reasonFor(key);
  if (reason !== null) return { path: at, ...reason };
  const known = guide.knownKeys(path);
  const nearest = nearestName(key, known);
  return {
    path: at,
    message: `"${clip(key)}" is not a key ${path.length === 0 ? "of this file" : `of ${pathText(path)}`}.`,
    hint:
      nearest === null
        ? `Take it out. Known keys here: ${known.join(", ") || "none"}.`
        : `Did you mean "${nearest}"? Otherwise take it out.`,
  };
}

function sentence(issue: z.core.$ZodIssue, path: string, value: unknown): string {
  const what = path === "" ? "The document" : path;
  const shown = quote(value);
  switch (issue.code) {
    case "invalid_type":
      return value === undefined
        ? `${what} is missing.`
        : `${what} is ${shown}, which is not ${article(issue.expected)}.`;
    case "too_small":
      return limitSentence(
        what,
        shown,
        issue.origin,
        issue.inclusive === false ? "above" : "at least",
        issue.minimum,
      );
    case "too_big":
      return limitSentence(
        what,
        shown,
        issue.origin,
        issue.inclusive === false ? "below" : "at most",
        issue.maximum,
      );
    case "invalid_value":
      if (value === undefined) return `${what} is missing.`;
      return `${what} is ${shown}; it can be ${issue.values.map((v) => JSON.stringify(v)).join(", ")}.`;
    case "invalid_union":
      return value === undefined
        ? `${what} is missing.`
        : `${what} is ${shown}, which is of no form that it can have.`;
    case "custom":
    case "invalid_format":
      return `${what} ${Array.isArray(value) || shown.startsWith("{") ? "" : `is ${shown}, which `}${issue.message}.`;
    case "invalid_element":
    case "invalid_key":
    case "not_multiple_of":
    case "unrecognized_keys":
      return `${what} is ${shown}: ${issue.message}.`;
  }
}

function limitSentence(
  what: string,
  shown: string,
  origin: string,
  relation: string,
  limit: number | bigint,
): string {
  if (origin === "string") return `${what} must have ${relation} ${limit} characters.`;
  if (origin === "array" || origin === "set") return `${what} must have ${relation} ${limit} entries.`;
  return `${what} is ${shown}; it must be ${relation} ${limit}.`;
}

function hint(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case "invalid_type":
      return `Give ${article(issue.expected)} here.`;
    case "too_small":
    case "too_big":
      return "Check the figure and its unit.";
    case "invalid_value":
      return "Take one of the values that are listed.";
    case "custom":
    case "invalid_element":
    case "invalid_format":
    case "invalid_key":
    case "invalid_union":
    case "not_multiple_of":
    case "unrecognized_keys":
      return "Correct it, or leave the key out where it is not required.";
  }
}

function article(expected: string): string {
  if (expected === "int") return "a whole number";
  if (expected === "number") return "a number";
  if (expected === "object" || expected === "record") return "an object";
  if (expected === "array") return "a list";
  if (expected === "boolean") return "true or false";
  return expected === "string" ? "a text" : expected;
}

function pathText(path: readonly PropertyKey[]): string {
  let text = "";
  for (const part of path) {
    text += typeof part === "number" ? `[${part}]` : text === "" ? String(part) : `.${String(part)}`;
  }
  return clip(text);
}

function valueAt(document: unknown, path: readonly PropertyKey[]): unknown {
  let value = document;
  for (const part of path) {
    if (typeof value !== "object" || value === null) return undefined;
    value = (value as Record<PropertyKey, unknown>)[part];
  }
  return value;
}

function quote(value: unknown): string {
  return clip(JSON.stringify(value) ?? String(value));
}

function clip(text: string): string {
  return text.length > BOUNDS.wordLength ? `${text.slice(0, BOUNDS.wordLength)}…` : text;
}
