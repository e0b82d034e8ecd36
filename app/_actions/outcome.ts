import { AppError } from "../../db/app-error";

/** What a form gets back: what is wrong, or that it is done; and what was typed, so that nothing is lost. */
export type Outcome = { problem: string | null; done: string | null; typed: Record<string, string> };

export const NOTHING_YET: Outcome = { problem: null, done: null, typed: {} };

/** The outcome of something a person can mend; anything else is a defect and goes on. */
export function problemOf(error: unknown, form: FormData): Outcome {
  if (!(error instanceof AppError)) throw error;
  return { problem: error.message, done: null, typed: typedIn(form) };
}

/** The texts of a form, without those of the framework. */
export function typedIn(form: FormData): Record<string, string> {
  const typed: Record<string, string> = {};
  for (const [name, value] of form)
    if (typeof value === "string" && !name.startsWith("$")) typed[name] = value;
  return typed;
}
