import type { FigureKind, FiguresOf } from "./evidence";

/** Why a place of `review --json` is null. */
export const CANT_TELL_REASONS = [
  /** There is nothing that the figure could be of: no transfer came back, no interval was found. */
  "none",
  "no-samples",
  "too-few-samples",
  "no-load",
  /** No load is known around the event. */
  "no-load-there",
  "no-legs",
  "no-source",
  /** No clock interval is covered enough. */
  "not-covered",
  /** No clock interval has enough of it, measured or reckoned. */
  "not-enough",
  /** The log ends, or a gap begins, before it. */
  "not-shown",
  /** No measured current or power there, nothing to reckon it from. */
  "not-measured",
  /** The ratings don't give what it needs. */
  "no-rating",
  "no-volts",
  /** Neither current, power nor state of charge of the battery is in the log. */
  "no-battery",
  "no-battery-current",
  "no-battery-power",
  "no-soc",
  /** Too few samples or days to fit a line from, or too much alike. */
  "no-fit",
  /** Less was logged than the figure takes. */
  "too-short",
  /** No two moments of equal state of charge, a cycle apart, with all between them known. */
  "no-round-trip",
  /** Fewer than 20 steps of the battery's current, or they explain nothing. */
  "too-few-steps",
  "no-deep-discharge",
  /** The denominator is nothing. */
  "share-of-nothing",
  /** The message of the evidence says it. */
  "see-message",
  /** Nobody wrote down why: a key was added without its reason. */
  "no-reason",
] as const;

export type CantTellReason = (typeof CANT_TELL_REASONS)[number];

/**
 * Every note on results as a whole by its code, with exactly the figures it carries, in the manner of evidence.
 * Ingest, command line and database give some of them (`guessed`, `series.sorted`, `solar-below-zero`, `series.counter-coarse`).
 */
export const NOTE_FIGURES = {
  "no-load": {},
  "no-legs": {},
  "no-source": {},
  /** No source column: it is taken from the grid's power (definitions D2). */
  "source-from-grid": { sourceFromGridShare: "number", sourceFloorShare: "number" },
  "no-solar": {},
  "no-battery": {},
  "battery-no-volts": {},
  "grid-from-balance": {},
  "power-factor-one": {},
  /** A quantity that isn't measured, and what it is taken from (definitions D2). */
  derived: { what: "text", from: "text" },
  "total-disagrees": { apartS: "number", totalDisagreement: "number" },
  "negative-load": { samples: "number" },
  blending: { samples: "number", legsUnknown: "number", blendingShare: "number" },
  "return-delay-differs": {
    medianS: "number",
    n: "number",
    returnDelayS: "number",
    toleranceS: "number",
    intervalS: "number",
  },
  /** `hundredPercentRated` names what is no protective device here. */
  "unknown-device": { device: "text" },
  /** Samples before the first entry of the ratings, `from` (yyyy-MM-dd). */
  "before-first-rating": { from: "text" },
  "interval-changed": { fromMs: "number", intervalS: "number" },
  "meters-disagree": { date: "text", lossesWh: "number", suppliedWh: "number", lossNoteShare: "number" },
  /** Two loggers have a channel; that of `by` counts, that of `logger` doesn't. */
  "channel-of-two-loggers": { channel: "text", logger: "text", by: "text" },
  /** A choice about a log that was taken on weak evidence. */
  guessed: { log: "text", choice: "text", value: "text", confidence: "number" },
  "series.sorted": { log: "text?", samples: "number" },
  "solar-below-zero": { log: "text?", cells: "number" },
  /** An energy counter that goes in steps of `resolutionWh`, of which one within an interval means `stepW`. */
  "series.counter-coarse": { log: "text?", channel: "text", resolutionWh: "number", stepW: "number" },
  /**
   * Why places of `review --json` are null: `what` is the path of their key, with [] for any index of a list, `places`
   * how many there are, `reason` one of CANT_TELL_REASONS, `needs` the missing rating or channel where it has a name.
   */
  "cant-tell": { what: "text", places: "number", reason: "text", needs: "text?" },
  /** What this version doesn't compute. */
  "not-yet": { what: "text" },
} as const satisfies { readonly [code: string]: { readonly [figure: string]: FigureKind } };

export type NoteCode = keyof typeof NOTE_FIGURES;

/** From a note's code to the figures it carries. */
export type NoteFigures = { readonly [C in NoteCode]: FiguresOf<(typeof NOTE_FIGURES)[C]> };

/** A remark on the results as a whole: a code and its figures. */
export type Note = { [C in NoteCode]: { readonly code: C; readonly figures: NoteFigures[C] } }[NoteCode];

/**
 * A note.
 *
 * @example noteOf("negative-load", { samples: 3 })
 */
export function noteOf<C extends NoteCode>(code: C, figures: NoteFigures[C]): Note {
  return { code, figures } as Note;
}
