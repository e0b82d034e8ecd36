import type { ColumnMapInput, ColumnRef } from "./column-map-schema";
import { signOf } from "./column-map-schema";
import type { JsonProblem } from "./json-problems";

/**
 * What a columns.json says against itself, whatever log it is for: a column that is two things, a one-way pair that
 * isn't one, a word with two meanings, an epoch in a zone. Empty where nothing is.
 */
export function columnMapContradictions(map: ColumnMapInput): JsonProblem[] {
  return [...columnsTwice(map), ...pairs(map), ...words(map), ...epochZone(map)];
}

type Use = { path: string; ref: ColumnRef; what: string };

function columnsTwice({ time, channels = {} }: ColumnMapInput): JsonProblem[] {
  const uses: Use[] = [];
  const times = time?.column === undefined ? [] : Array.isArray(time.column) ? time.column : [time.column];
  for (const ref of times) uses.push({ path: "time.column", ref, what: "the time" });
  for (const [channel, entry] of Object.entries(channels)) {
    const column = entry?.column;
    if (column === undefined) continue;
    const path = `channels.${channel}.column`;
    if (typeof column !== "object") uses.push({ path, ref: column, what: channel });
    else {
      uses.push({ path: `${path}.plus`, ref: column.plus, what: `${channel}.plus` });
      uses.push({ path: `${path}.minus`, ref: column.minus, what: `${channel}.minus` });
    }
  }
  const problems: JsonProblem[] = [];
  const first = new Map<ColumnRef, Use>();
  for (const use of uses) {
    const key = typeof use.ref === "number" ? use.ref : sameWord(use.ref);
    const other = first.get(key);
    if (other === undefined) first.set(key, use);
    // One column can be both the source and the fault: a state says either.
    else if ([other.what, use.what].sort().join() !== "faultCode,source") {
      const named = typeof use.ref === "number" ? `Column ${use.ref}` : `The column "${use.ref}"`;
      problems.push({
        path: use.path,
        message: `${named} is taken for ${other.what} (${other.path}) and for ${use.what} (${use.path}).`,
        hint: "A column is one thing: leave it at one of them.",
      });
    }
  }
  return problems;
}

/** Which way a one-way pair counts up is said by its two columns. */
function pairs({ channels = {} }: ColumnMapInput): JsonProblem[] {
  const problems: JsonProblem[] = [];
  for (const [channel, entry] of Object.entries(channels)) {
    if (entry === undefined || typeof entry.column !== "object" || !("positive" in entry)) continue;
    const directions = signOf(channel as Parameters<typeof signOf>[0]);
    if (directions === null || entry.positive !== directions[1]) continue;
    problems.push({
      path: `channels.${channel}.positive`,
      message: `channels.${channel} has one column for each direction, and "positive" turns both round.`,
      hint: `Give as "plus" the column that counts ${directions[0]} and as "minus" the one that counts ${directions[1]}, without "positive".`,
    });
  }
  return problems;
}

function words({ channels = {} }: ColumnMapInput): JsonProblem[] {
  const { source, faultCode } = channels;
  const problems: JsonProblem[] = [
    ...twoMeanings("channels.source.words", source?.words),
    ...twoMeanings("channels.faultCode.words", faultCode?.words),
  ];
  const noFault = new Set((faultCode?.noFault ?? []).map(sameWord));
  for (const word of Object.keys(faultCode?.words ?? {})) {
    if (!noFault.has(sameWord(word))) continue;
    problems.push({
      path: "channels.faultCode.words",
      message: `The word "${word}" is a fault (channels.faultCode.words) and no fault (channels.faultCode.noFault).`,
      hint: "Leave it in one of the two.",
    });
  }
  return problems;
}

/** Words are read without regard to case where none is exactly so: two that differ by it alone have to agree. */
function twoMeanings(path: string, given: Readonly<Record<string, string>> | undefined): JsonProblem[] {
  const problems: JsonProblem[] = [];
  const first = new Map<string, [string, string]>();
  for (const [word, meaning] of Object.entries(given ?? {})) {
    const other = first.get(sameWord(word));
    if (other === undefined) first.set(sameWord(word), [word, meaning]);
    else if (other[1] !== meaning) {
      problems.push({
        path,
        message: `The words "${other[0]}" and "${word}" are the same but for case and blanks, and mean ${other[1]} and ${meaning} (${path}).`,
        hint: "Give the word once.",
      });
    }
  }
  return problems;
}

function epochZone({ time }: ColumnMapInput): JsonProblem[] {
  const { format = "", zone = "site" } = time ?? {};
  if (!format.startsWith("epoch-") || zone === "site" || zone === "UTC") return [];
  return [
    {
      path: "time.zone",
      message: `time.zone is "${zone}", and time.format "${format}" counts from 1970 in UTC wherever it is: a zone can't be meant.`,
      hint: 'Leave "zone" out. If the times are a wall clock\'s, "format" is another one.',
    },
  ];
}

function sameWord(word: string): string {
  return word.trim().replace(/\s+/g, " ").toLowerCase();
}
