import type { NumericChannel } from "../../src/analysis/series";
import type { LogSource } from "../../src/ingest/log-source";
import { readLog } from "../../src/ingest/read-log";
import type { SampleBatch, SampleSink } from "../../src/ingest/sample-sink";
import { SNIFF_BYTES, type SniffedLog, sniffLog } from "../../src/ingest/sniff-log";
import { type ColumnMap, columnMap } from "../../src/site/column-map";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import { parseColumnMap } from "../../src/site/parse-column-map";
import type { CorpusLog, TrueChannel } from "./write-corpus-log";

/**
 * What became of a log of the corpus. `right`: read as it is meant, without help, or asked for exactly what it leaves
 * open. `asked`: asked for more, and everything else right. `incomplete`: right, but a lesser column not used.
 * `refused`: not taken for a log. `wrong`: read otherwise than it is meant, or an important column left out, unasked.
 */
export type Outcome = "right" | "asked" | "incomplete" | "refused" | "wrong";

export type Judgement = {
  readonly outcome: Outcome;
  /** Whether a person was asked at all. */
  readonly helped: boolean;
  readonly problems: readonly string[];
  readonly asked: readonly string[];
};

/** Share of a channel's cells that may differ: bounds reject single ones. */
const DIFFERING_SHARE = 0.002;

/** How far the mean of a power made of energies may be off. */
const ENERGY_TOLERANCE = 0.03;

/** Sniffs the log, settles what was asked by the truth, reads it, and compares every instant and value. */
export async function judgeCorpusLog(log: CorpusLog): Promise<Judgement> {
  const { truth } = log;
  const sniffed = sniffLog(log.bytes.subarray(0, SNIFF_BYTES), null, { name: log.name, strict: false });
  if (sniffed.refusal !== null) {
    return {
      outcome: "refused",
      helped: false,
      problems: [`refused: ${sniffed.refusal.code} ${sniffed.refusal.what}`],
      asked: [],
    };
  }
  const asked = sniffed.ask.map((a) => a.choice);
  const problems: string[] = [];
  const lesser: string[] = [];
  for (const must of truth.mustAsk) {
    if (!asked.some((a) => must.test(a)))
      problems.push(`not asked for ${must.source}, which nothing settles`);
  }
  const map = sniffed.map ?? settledMap(log, sniffed);
  if (map === null) problems.push("no map, even with what was asked for");
  else await compare(log, map, askedAbout(sniffed), problems, lesser);
  const open = [...truth.mustAsk, ...truth.mayAsk, /^time\.stamps$/];
  const beyond = asked.filter((a) => !open.some((o) => o.test(a)));
  const outcome =
    problems.length > 0 ? "wrong" : beyond.length > 0 ? "asked" : lesser.length > 0 ? "incomplete" : "right";
  return { outcome, helped: asked.length > 0, problems: [...problems, ...lesser], asked };
}

/** Whether a question names a column: it is then not left out unsaid. */
function askedAbout({ ask, names }: SniffedLog): (column: number) => boolean {
  return (column) => {
    const name = names[column];
    return (
      name !== undefined &&
      name !== "" &&
      ask.some(({ why, options }) => why.includes(`"${name}"`) || options.includes(name))
    );
  };
}

/** The draft with the truth in the place of everything that was asked. */
function settledMap(log: CorpusLog, sniffed: SniffedLog): ColumnMap | null {
  const header = sniffed.evidence.find((e) => e.choice === "header");
  const { names } = sniffed;
  const nameOf = (column: number) => {
    const name = names[column];
    const twice = names.indexOf(name) !== names.lastIndexOf(name);
    return header?.value === "none" || name === undefined || name === "" || twice ? column + 1 : name;
  };
  const truth = log.truth.map(nameOf);
  const draft = structuredClone(sniffed.draft) as {
    version: 1;
    time?: Record<string, unknown>;
    channels?: Record<string, Record<string, unknown>>;
    text?: Record<string, unknown>;
  };
  draft.time ??= {};
  draft.channels ??= {};
  for (const { choice } of sniffed.ask) {
    const [part, name, field] = choice.split(".");
    if (part === "time") draft.time[name] = (truth.time as Record<string, unknown>)[name];
    else if (part === "text")
      draft.text = { ...draft.text, [name]: (truth.text as Record<string, unknown>)[name] };
    else if (part === "channels") {
      const true_ = (truth.channels as Record<string, Record<string, unknown>>)[name];
      if (true_ === undefined) delete draft.channels[name];
      else if (field === undefined || draft.channels[name] === undefined) draft.channels[name] = true_;
      else draft.channels[name][field] = true_[field];
      // A question for the loads is answered with all of them.
      if (name.startsWith("load") && field === undefined) {
        for (const [channel, column] of Object.entries(truth.channels ?? {})) {
          if (channel.startsWith("load")) draft.channels[channel] ??= column as Record<string, unknown>;
        }
      }
    }
  }
  const parsed = parseColumnMap(draft);
  return parsed.ok ? columnMap(parsed.map as ColumnMapInput) : null;
}

type Read = {
  readonly byLine: Map<number, number>;
  readonly timesMs: number[];
  readonly values: Map<NumericChannel, number[]>;
  readonly sources: number[];
  readonly faults: number[];
};

async function compare(
  log: CorpusLog,
  map: ColumnMap,
  isAskedAbout: (column: number) => boolean,
  problems: string[],
  lesser: string[],
): Promise<void> {
  const { truth } = log;
  const read: Read = { byLine: new Map(), timesMs: [], values: new Map(), sources: [], faults: [] };
  const source: LogSource = {
    name: log.name,
    sizeBytes: log.bytes.length,
    async *open() {
      for (let at = 0; at < log.bytes.length; at += 65_536) yield log.bytes.subarray(at, at + 65_536);
    },
  };
  const receivedAtMs = Date.UTC(2026, 11, 1);
  const verdict = await readLog(source, map, { siteZone: log.siteZone, receivedAtMs }, keeping(read));
  if (verdict.refused) {
    problems.push(`refused when read: ${verdict.problem.code} ${verdict.problem.what}`);
    return;
  }
  const wanted = truth.lines.map((line) => read.byLine.get(line));
  const isEnergy = [...truth.channels.values()].some((c) => c.isEnergy);
  const missing = wanted.filter((at, i) => at === undefined && hasValue(log, i)).length;
  if (missing > (isEnergy ? Math.max(2, 0.03 * wanted.length) : 0)) {
    problems.push(`${missing} of ${wanted.length} rows not taken: ${JSON.stringify(verdict.codes)}`);
  }
  const lines = new Set(truth.lines);
  const more = [...read.byLine.keys()].filter((line) => !lines.has(line));
  if (more.length > 0) problems.push(`took ${more.length} lines that are no rows, the first ${more[0]}`);
  compareTimes(log, read, wanted, problems);
  for (const [channel, values] of read.values) {
    const ref = map.channels[channel]?.column;
    const from = JSON.stringify(ref);
    const meant = truth.channels.get(channel);
    if (meant === undefined) problems.push(`${channel} taken from ${from}, which is none`);
    else {
      const say = meant.isEnergy
        ? differentMean(meant.values, values, wanted)
        : differing(meant, values, wanted);
      if (say !== null)
        problems.push(`${channel} from ${from} as ${JSON.stringify(map.channels[channel])}: ${say}`);
    }
  }
  for (const [channel, { values, isOptional }] of truth.channels) {
    if (isOptional || read.values.has(channel) || values.every(Number.isNaN)) continue;
    const columns = truth.columnsOf.get(channel) ?? [];
    const what = `${channel} (column ${columns.map((c) => c + 1)}) not used`;
    if (isImportant(channel, truth.channels) && !columns.every(isAskedAbout)) problems.push(what);
    else lesser.push(what);
  }
  compareWords(log, map, read, wanted, problems, lesser);
}

function keeping(read: Read): SampleSink {
  return {
    async begin() {},
    async batch(batch: SampleBatch) {
      const { timesMs, lines, sources, faults } = batch;
      for (let i = 0; i < timesMs.length; i++) {
        read.byLine.set(lines[i], read.timesMs.length);
        read.timesMs.push(timesMs[i]);
        if (sources !== null) read.sources.push(sources[i]);
        if (faults !== null) read.faults.push(faults[i]);
      }
      for (const [channel, values] of Object.entries(batch.channels) as [NumericChannel, Float32Array][]) {
        const all = read.values.get(channel) ?? [];
        for (const value of values) all.push(value);
        read.values.set(channel, all);
      }
    },
    async restart() {
      read.byLine.clear();
      read.values.clear();
      for (const list of [read.timesMs, read.sources, read.faults]) list.length = 0;
    },
    async end() {
      return { duplicates: 0, conflicts: 0, conflictLines: [] };
    },
  };
}

function hasValue(log: CorpusLog, row: number): boolean {
  if (log.truth.sources !== null) return true;
  return [...log.truth.channels.values()].some(({ values }) => !Number.isNaN(values[row]));
}

function compareTimes(
  log: CorpusLog,
  read: Read,
  wanted: readonly (number | undefined)[],
  problems: string[],
): void {
  const { truth } = log;
  let off = 0;
  let first = "";
  wanted.forEach((at, i) => {
    if (at === undefined) return;
    if (Math.abs(read.timesMs[at] - truth.timesMs[i]) <= truth.timeToleranceMs) return;
    off++;
    if (off === 1) {
      const [is, meant] = [read.timesMs[at], truth.timesMs[i]].map((ms) => new Date(ms).toISOString());
      first = `line ${truth.lines[i]} is ${is}, meant ${meant}`;
    }
  });
  if (off > 0) problems.push(`${off} instants differ: ${first}`);
}

function differing(
  { values: meant, halfSaid }: TrueChannel,
  values: readonly number[],
  wanted: readonly (number | undefined)[],
): string | null {
  let cells = 0;
  let off = 0;
  let first = "";
  wanted.forEach((at, i) => {
    if (at === undefined || halfSaid.has(i)) return;
    cells++;
    const is = values[at];
    if (Number.isNaN(is) && Number.isNaN(meant[i])) return;
    if (Math.abs(is - meant[i]) <= 1e-3 + 2e-6 * Math.abs(meant[i])) return;
    off++;
    if (off === 1) first = `${is}, meant ${meant[i]}`;
  });
  return off > DIFFERING_SHARE * cells ? `${off} of ${cells} values differ, first ${first}` : null;
}

function differentMean(
  meant: Float64Array,
  values: readonly number[],
  wanted: readonly (number | undefined)[],
): string | null {
  const finite = values.filter(Number.isFinite);
  const is = finite.reduce((sum, v) => sum + v, 0) / finite.length;
  const known = meant.filter((v, i) => wanted[i] !== undefined && !Number.isNaN(v));
  const should = known.reduce((sum, v) => sum + v, 0) / known.length;
  const most = known.reduce((max, v) => Math.max(max, Math.abs(v)), 0);
  return Math.abs(is - should) <= ENERGY_TOLERANCE * Math.abs(should) + 0.005 * most
    ? null
    : `mean power ${is.toFixed(1)} W, meant ${should.toFixed(1)} W`;
}

function isImportant(channel: NumericChannel, all: ReadonlyMap<NumericChannel, unknown>): boolean {
  if (/^loadL[12](A|Va)$/.test(channel)) return !all.has(channel.replace(/A$|Va$/, "W") as NumericChannel);
  if (channel === "loadW") return !(all.has("loadL1W") && all.has("loadL2W"));
  if (channel === "gridW") return !(all.has("gridL1W") && all.has("gridL2W"));
  if (channel === "batteryA") return !all.has("batteryW");
  return /^(loadL[12]W|gridL[12]W|batteryW|solar\d?W)$/.test(channel);
}

function compareWords(
  log: CorpusLog,
  map: ColumnMap,
  read: Read,
  wanted: readonly (number | undefined)[],
  problems: string[],
  lesser: string[],
): void {
  const { sources, faults, columnsOf } = log.truth;
  if (sources === null && read.sources.length > 0) {
    problems.push(`source taken from ${JSON.stringify(map.channels.source)}, which is none`);
  } else if (sources !== null && read.sources.length === 0) {
    problems.push(`source (column ${columnsOf.get("source")?.map((c) => c + 1)}) not used`);
  } else if (sources !== null) {
    const off = wanted.filter((at, i) => at !== undefined && read.sources[at] !== sources[i]).length;
    if (off > DIFFERING_SHARE * wanted.length) {
      problems.push(`source differs in ${off} rows: ${JSON.stringify(map.channels.source)}`);
    }
  }
  if (faults === null && read.faults.length > 0) {
    problems.push(`faultCode taken from ${JSON.stringify(map.channels.faultCode)}, which is none`);
  } else if (faults !== null && read.faults.length === 0) {
    if (faults.includes(true)) lesser.push("faultCode not used");
  } else if (faults !== null) {
    const off = wanted.filter((at, i) => at !== undefined && (read.faults[at] !== 0) !== faults[i]).length;
    if (off > DIFFERING_SHARE * wanted.length) {
      problems.push(`faults differ in ${off} rows: ${JSON.stringify(map.channels.faultCode)}`);
    }
  }
}
