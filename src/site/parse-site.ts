import type { Ratings } from "../analysis/ratings";
import type { Channel } from "../analysis/series";
import { DEFAULT_SETTINGS, type Settings } from "../analysis/settings";
import { type JsonProblem, jsonProblems } from "./json-problems";
import { nearestName } from "./nearest-name";
import { schemaKeys } from "./schema-keys";
import { type SiteInput, siteSchema } from "./site-schema";

/** A source of samples on the site; `channels` absent: all of its channels count. */
type Logger = { readonly name: string; readonly channels?: readonly Channel[] };

/** A site with every default filled in: what the analysis is run with. */
export type Site = {
  readonly name: string;
  /** IANA zone. */
  readonly timezone: string;
  /** By ascending `from`; at least one. */
  readonly ratings: readonly Ratings[];
  readonly settings: Settings;
  /** In order of precedence; at least one. */
  readonly loggers: readonly Logger[];
  readonly circuits: NonNullable<SiteInput["circuits"]>;
  readonly tariff: NonNullable<SiteInput["tariff"]> | null;
};

/** A valid site, complete and as written; or everything that is wrong with the document. */
export type ParsedSite =
  | { readonly ok: true; readonly site: Site; readonly input: SiteInput }
  | { readonly ok: false; readonly problems: readonly JsonProblem[] };

/**
 * Reads a site.json (already parsed from JSON text). Never throws for what the document holds. Defaults:
 * totalLimitW twice legLimitW, VA limits equal to the W limits, legNominalV 120, one logger "main", the
 * settings of the definitions.
 */
export function parseSite(json: unknown): ParsedSite {
  const parsed = siteSchema.safeParse(json);
  if (!parsed.success) {
    return {
      ok: false,
      problems: jsonProblems(parsed.error.issues, json, {
        knownKeys: (path) => schemaKeys(siteSchema, path),
        hintFor: (path) => siteHint(path, json),
        reasonFor: otherSupply,
      }),
    };
  }
  const input = parsed.data;
  return { ok: true, site: complete(input), input };
}

function complete(input: SiteInput): Site {
  return {
    name: input.name,
    timezone: input.timezone,
    ratings: input.ratings.map(completeRatings).sort((a, b) => (a.from < b.from ? -1 : 1)),
    settings: { ...DEFAULT_SETTINGS, ...input.settings },
    loggers: input.loggers ?? [{ name: "main" }],
    circuits: input.circuits ?? [],
    tariff: input.tariff ?? null,
  };
}

function completeRatings(given: SiteInput["ratings"][number]): Ratings {
  const totalLimitW = given.totalLimitW ?? 2 * given.legLimitW;
  return {
    ...given,
    totalLimitW,
    legLimitVa: given.legLimitVa ?? given.legLimitW,
    totalLimitVa: given.totalLimitVa ?? totalLimitW,
    legNominalV: given.legNominalV ?? 120,
    overload: given.overload ?? [],
    derate: given.derate ?? [],
    hundredPercentRated: given.hundredPercentRated ?? [],
    battery: given.battery ?? {},
  };
}

function otherSupply(key: string): { message: string; hint: string } | null {
  if (!/^(supply|phases?|wiring|nominalV|lineV|voltage|supplyV)$/i.test(key)) return null;
  return {
    message: `"${key}": the supply is not a choice. Only 120/240 V split-phase is analysed: two legs of 120 V, 180° apart; single-phase 230 V and three-phase supplies have other limits and another neutral.`,
    hint: "For a 120/240 V split-phase site take the key out; legNominalV (100 to 140) is the nominal voltage of one leg.",
  };
}

function siteHint(path: readonly PropertyKey[], json: unknown): string | null {
  const key = path.findLast((part) => typeof part === "string") ?? "";
  switch (key) {
    case "timezone": {
      const given = (json as { timezone?: unknown }).timezone;
      const nearest =
        typeof given === "string" ? nearestName(given, Intl.supportedValuesOf("timeZone")) : null;
      return nearest === null
        ? 'Give a name such as "America/Denver".'
        : `Did you mean "${nearest}"? Names are those of the IANA database, such as "America/Denver".`;
    }
    case "legLimitW":
      return "Give the continuous power of one leg from the nameplate, in watts: for a 8 kW split-phase inverter 4000.";
    case "totalLimitW":
      return "Give the continuous power of both legs from the nameplate in watts, or leave it out: it is then twice legLimitW.";
    case "legNominalV":
      return "Leave it out for 120 V. Other supplies can't be analysed yet.";
    case "from":
      return 'Give the first local day on which these ratings hold, such as "2026-01-01".';
    case "ratings":
      return 'Give at least { "from": "2026-01-01", "legLimitW": 4000 }, each with a day of its own.';
    case "version":
      return 'Write "version": 1.';
    case "overload":
      return 'List the allowances from small to great: [{ "upToRatio": 1.25, "forS": 30 }, { "upToRatio": 2, "forS": 1 }].';
    case "upToRatio":
      return "A ratio to the rating, above 1: 125 % is 1.25.";
    default:
      return null;
  }
}
