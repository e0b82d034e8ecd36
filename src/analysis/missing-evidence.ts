import { PROTECTIVE_DEVICES } from "./continuous-load";
import { EVIDENCE_FIGURES, type Evidence, type EvidenceCode, type FigureKind } from "./evidence";
import {
  REQUIRED_BY_CAUSE,
  REQUIRED_BY_TAG,
  REQUIRED_OF_DROPOUT,
  REQUIRED_OF_EVENT,
  REQUIRED_OF_TRANSFER,
  REQUIRED_OF_TRANSFER_BY_CAUSE,
} from "./required-evidence";
import type { CauseFindings, Dropout, Transfer } from "./results";
import { SOURCES, TRANSFER_CAUSES } from "./series";

/**
 * What the evidence of a transfer or a dropout lacks: pieces that its cause, its tags or its kind require, pieces
 * that there can't be, and figures that are missing, surplus, of another kind, or not fit for JSON.
 *
 * @returns a line for each; empty where nothing is missing. Empty evidence always lacks something.
 */
export function missingEvidence(event: Transfer | Dropout): string[] {
  const transfer = "returnedAtMs" in event;
  return [
    ...lacking(event.evidence, REQUIRED_OF_EVENT),
    ...lacking(event.evidence, transfer ? REQUIRED_OF_TRANSFER : REQUIRED_OF_DROPOUT),
    ...lacking(event.evidence, REQUIRED_BY_CAUSE[event.cause]),
    ...(transfer ? lacking(event.evidence, REQUIRED_OF_TRANSFER_BY_CAUSE[event.cause]) : []),
    ...(event.tags ?? []).flatMap((tag) => lacking(event.evidence, REQUIRED_BY_TAG[tag])),
    ...notAnOverload(event),
    ...brokenFigures(event.evidence),
  ];
}

/** Which of the required pieces a list of evidence lacks. */
export function lacking(
  evidence: readonly Evidence[],
  required: readonly (readonly EvidenceCode[])[],
): string[] {
  const codes = new Set<EvidenceCode>(evidence.map(({ code }) => code));
  return required
    .filter((anyOf) => !anyOf.some((code) => codes.has(code)))
    .map((anyOf) => `requires ${anyOf.join(" or ")}`);
}

/** From a code to the kinds of its figures, as of evidence, notes and findings. */
type Catalogue = { readonly [code: string]: { readonly [figure: string]: FigureKind } };

/** What is wrong with the figures of a list of evidence, or of notes or findings, held against their catalogue. */
export function brokenFigures(
  pieces: readonly { readonly code: string; readonly figures: object }[],
  catalogue: Catalogue = EVIDENCE_FIGURES,
): string[] {
  const problems: string[] = [];
  for (const { code, figures } of pieces) {
    const kinds = catalogue[code] as Catalogue[string] | undefined;
    if (kinds === undefined) {
      problems.push(`${code} isn't in the catalogue`);
      continue;
    }
    const given = figures as { readonly [figure: string]: unknown };
    for (const [name, kind] of Object.entries(kinds)) {
      if (!fits(given[name], kind))
        problems.push(`${code}.${name} requires ${kind}, got ${String(given[name])}`);
    }
    for (const name of Object.keys(given)) {
      if (!(name in kinds)) problems.push(`${code}.${name} isn't in the catalogue`);
    }
  }
  return problems;
}

/** A loading below the setting makes no overload: then the return delay or a fault code must. */
function notAnOverload({ cause, evidence }: CauseFindings): string[] {
  if (cause !== "overload") return [];
  if (evidence.some(({ code }) => code === "return-delay" || code === "fault-code")) return [];
  const high = evidence.some(
    ({ code, figures }) => code === "peak-loading" && figures.loading >= figures.overloadSeenAt,
  );
  return high ? [] : ["overload requires a loading that counts, return-delay or fault-code"];
}

function fits(value: unknown, kind: FigureKind): boolean {
  if (value === null) return kind.endsWith("?");
  switch (kind) {
    case "number":
    case "number?":
      return typeof value === "number" && Number.isFinite(value);
    case "flag":
      return typeof value === "boolean";
    case "leg":
    case "leg?":
      return value === "L1" || value === "L2";
    case "limiting":
      return value === "L1" || value === "L2" || value === "total";
    case "quantity":
      return value === "L1" || value === "L2" || value === "total" || value === "pass-through";
    case "shownIn":
      return value === "W" || value === "VA" || value === "part";
    case "cause":
    case "cause?":
      return (TRANSFER_CAUSES as readonly unknown[]).includes(value);
    case "source":
      return (SOURCES as readonly unknown[]).includes(value);
    case "device":
      return (PROTECTIVE_DEVICES as readonly unknown[]).includes(value);
    case "text":
    case "text?":
      return typeof value === "string" && value !== "";
  }
}
