/** A figure of the settings' form: its name in the form, its place in an entry of `ratings`, its words. */
export type RatingField = {
  name: string;
  path: readonly [string] | readonly ["battery", string];
  label: string;
  unit: string;
  hint?: string;
};

/** The figures that a person is asked for; the rest of site.json is edited as text. */
export const RATING_FIELDS: readonly RatingField[] = [
  {
    name: "legLimitW",
    path: ["legLimitW"],
    label: "Limit of one leg",
    unit: "W",
    hint: "Continuous, from the nameplate.",
  },
  {
    name: "totalLimitW",
    path: ["totalLimitW"],
    label: "Limit of both legs",
    unit: "W",
    hint: "Left empty: twice that of a leg.",
  },
  {
    name: "passThroughA",
    path: ["passThroughA"],
    label: "Pass-through on utility",
    unit: "A",
    hint: "What the transfer relay carries.",
  },
  {
    name: "returnDelayS",
    path: ["returnDelayS"],
    label: "Return delay",
    unit: "s",
    hint: "How long it waits before it comes back from the utility.",
  },
  { name: "capacityAh", path: ["battery", "capacityAh"], label: "Battery capacity", unit: "Ah" },
  { name: "nominalV", path: ["battery", "nominalV"], label: "Battery voltage", unit: "V" },
  {
    name: "maxDischargeA",
    path: ["battery", "maxDischargeA"],
    label: "Battery current at most",
    unit: "A",
    hint: "Discharging.",
  },
  {
    name: "lowSocPct",
    path: ["battery", "lowSocPct"],
    label: "Over to the utility at",
    unit: "% SOC",
    hint: "Where the inverter leaves the battery.",
  },
];

type Json = Record<string, unknown>;

/** The latest entry of `ratings`, which is the one the form shows. */
export function latestRatings(config: unknown): Json {
  const list = (config as { ratings: Json[] }).ratings;
  return list.reduce((latest, entry) => (String(entry.from) > String(latest.from) ? entry : latest));
}

/** What stands at a field's place, as text for its input. */
export function fieldText(ratings: Json, { path }: RatingField): string {
  const value = path.length === 1 ? ratings[path[0]] : (ratings.battery as Json | undefined)?.[path[1]];
  return value === undefined ? "" : String(value);
}

/**
 * A site.json with what was typed into the form; everything else stays as it is. An empty field takes its key
 * out; a text that is no number is left for the check of site.json to refuse by name. With `changed` the
 * earlier ratings stay in force until the day given, else the latest entry is corrected.
 */
export function applySiteForm(config: unknown, typed: Readonly<Record<string, string>>): Json {
  const site = structuredClone(config) as Json & { ratings: Json[] };
  if (typed.name !== undefined) site.name = typed.name;
  if (typed.timezone !== undefined) site.timezone = typed.timezone;
  let entry = latestRatings(site);
  if (typed.changed === "on") {
    entry = structuredClone(entry);
    site.ratings.push(entry);
  }
  if (typed.from !== undefined) entry.from = typed.from;
  for (const { name, path } of RATING_FIELDS) {
    if (typed[name] === undefined) continue;
    if (path.length === 1) put(entry, path[0], typed[name]);
    else {
      const battery = (entry.battery ?? {}) as Json;
      put(battery, path[1], typed[name]);
      if (Object.keys(battery).length > 0) entry.battery = battery;
      else delete entry.battery;
    }
  }
  return site;
}

function put(target: Json, key: string, text: string): void {
  const trimmed = text.trim();
  if (trimmed === "") delete target[key];
  else target[key] = Number.isFinite(Number(trimmed)) ? Number(trimmed) : trimmed;
}

/** A site.json as text, its keys in the order in which it is documented; the database keeps another. */
export function siteText(config: unknown): string {
  const given = config as Json;
  const ordered: Json = {};
  for (const key of [...KEYS.filter((one) => one in given), ...Object.keys(given)]) ordered[key] = given[key];
  ordered.ratings = (given.ratings as Json[]).map(({ from, ...rest }) => ({ from, ...rest }));
  return JSON.stringify(ordered, null, 2);
}

const KEYS = ["version", "name", "timezone", "ratings", "loggers", "circuits", "tariff", "settings"];
