import { type FaultWord, SOURCE_CODE } from "../analysis/series";
import type { ColumnMap } from "../site/column-map";
import { headerAgain } from "./header-again";
import type { LogColumns } from "./log-columns";
import type { NumberReader } from "./number-reader";
import type { Rejects } from "./rejects";
import type { SampleColumns } from "./sample-columns";
import { unitRow } from "./sniff/unit-row";
import type { TimeReader } from "./time-reader";

/** Exact counts of what became of a log's records; `records` is the sum of the other five. */
export type RecordCounts = {
  records: number;
  taken: number;
  duplicates: number;
  conflicts: number;
  rejected: number;
  skipped: number;
};

const NO_RECORDS: RecordCounts = {
  records: 0,
  taken: 0,
  duplicates: 0,
  conflicts: 0,
  rejected: 0,
  skipped: 0,
};

/** Takes the records of one log, one after the other, into sample columns. */
export type RowTaker = {
  readonly counts: RecordCounts;
  readonly faultWords: FaultWord[];
  /** Solar readings a little under zero that were taken as zero. */
  solarBelowZero: number;
  /** True once a row came whose time lies before the row above it; that row was not taken. */
  outOfOrder: boolean;
  take(cells: readonly string[], line: number): void;
  /** Counts a stretch of text that is no record as a rejected one. */
  takeBroken(code: "row.open-quote" | "row.field-count", line: number, text: string): void;
  /** Whether the samples so far can be handed over: not while it is open which hour of two they are in. */
  settled(): boolean;
  /** To be called when the columns have been handed over and are used again from the start. */
  handedOver(): void;
  /** No more rows: settles what waited for the next one. */
  end(): void;
  /**
   * Where it stands between two rows, right after the columns were handed over, as plain data; null while something
   * waits for the next rows that can't be put away: an hour that happened twice, footers, a header of its own.
   */
  state(): RowTakerState | null;
};

/** What a row taker carries from row to row. Plain data. */
export type RowTakerState = {
  counts: RecordCounts;
  faultWords: FaultWord[];
  solarBelowZero: number;
  firstRowSeen: boolean;
  unitsBelow: string | null;
  justUnderHeader: boolean;
  lastMs: number;
  stepMs: number;
  standing: Float32Array;
  standingEnergies: Float64Array;
  standingSource: number;
  standingFault: number;
  beforeColumnsMs: number;
};

export type RowTakerOptions = {
  readonly map: ColumnMap;
  readonly columns: LogColumns;
  readonly times: TimeReader;
  readonly numbers: NumberReader;
  readonly into: SampleColumns;
  readonly rejects: Rejects;
  /** Names of choices ("time", a channel) that were inferred, for the rejects. */
  readonly guessed: ReadonlySet<string>;
  readonly receivedAtMs: number;
  /** False where the rows are sorted afterwards: then every good row is kept, in whatever order. */
  readonly inOrder: boolean;
  /** Told of a row whose instant the one before has with other values, by its place in the columns. */
  readonly onConflict?: (columns: SampleColumns, at: number) => void;
  /** Goes on from there. */
  readonly known?: RowTakerState;
};

const YEAR_2000_MS = Date.UTC(2000, 0, 1);
const DAY_MS = 86_400_000;
/** No counter of a site has more: a terawatt-hour. */
const MAX_ENERGY_WH = 1e12;
const MAX_FAULT_WORDS = 65_000;
const MAX_PENDING_FOOTERS = 16;
const SOURCE_ITSELF = Object.keys(SOURCE_CODE);

/** Row taker for one reading of one log. Everything that is the same for all rows is worked out here, once. */
export function createRowTaker(options: RowTakerOptions): RowTaker {
  const { map, columns, times, numbers, into, rejects, guessed, inOrder, known } = options;
  const { timesMs, values, sources, faults, lines, energies } = into;
  const latestMs = options.receivedAtMs + DAY_MS;
  const { names, time } = columns;
  const timeA = time[0];
  const timeB = time.length > 1 ? time[1] : -1;
  const timeRule = guessed.has("time") ? "guessed" : "given";

  const channels = columns.channels;
  const m = channels.length;
  // Channels that are logged as energy have no value yet, but readings among the energies.
  const index = Int32Array.from(channels, (c) => (c.energy === null ? c.index : -1));
  const energyCount = columns.energies.length;
  const minusIndex = Int32Array.from(channels, (c) => c.minusIndex);
  const unit = channels.map((c) => c.unit);
  const multiply = Float64Array.from(channels, (c) => c.multiply * c.sign);
  const divide = Float64Array.from(channels, (c) => c.divide);
  const add = Float64Array.from(channels, (c) => c.add * c.sign);
  const min = Float64Array.from(channels, (c) => c.min);
  const max = Float64Array.from(channels, (c) => c.max);
  const isSolar = Uint8Array.from(channels, (c) => (c.channel.startsWith("solar") ? 1 : 0));

  const missing = new Set(map.missing.map(fold)).add("");
  const sourceIndex = columns.source;
  const sourceWords = new Map<string, number>();
  for (const word of SOURCE_ITSELF) sourceWords.set(word, SOURCE_CODE[word as keyof typeof SOURCE_CODE]);
  for (const [word, source] of Object.entries(map.channels.source?.words ?? {})) {
    if (!sourceWords.has(fold(word))) sourceWords.set(fold(word), SOURCE_CODE[source]);
  }
  for (const [word, source] of Object.entries(map.channels.source?.words ?? {})) {
    sourceWords.set(word, SOURCE_CODE[source]);
  }
  let lastSourceText = "";
  let lastSource = 0;

  const faultIndex = columns.fault;
  const noFault = new Set((map.channels.faultCode?.noFault ?? []).map(fold)).add("");
  const faultMeanings = map.channels.faultCode?.words ?? {};
  const faultWords: FaultWord[] = [...(known?.faultWords ?? [])];
  const faultCodes = new Map<string, number>(faultWords.map(({ code }, i) => [code, i + 1]));
  let lastFaultText = "";
  let lastFault = 0;

  const counts: RecordCounts = {
    ...NO_RECORDS,
    ...known?.counts,
  };
  const pendingFooters: { line: number; text: string; code: "row.field-count" | "cell.not-a-time" }[] = [];
  let firstRowSeen = known?.firstRowSeen ?? false;
  const used = [...time, ...channels.flatMap((c) => [c.index, c.minusIndex]), sourceIndex, faultIndex].filter(
    (i) => i >= 0,
  );
  const hasHeader = !names.every((name, i) => name === String(i + 1));
  /** Fields of a row, as the header now in force has them. */
  let width = names.length;
  /** Under a repeated header with its columns in another order: where each one of the log's columns stands. */
  let places: Int32Array | null = null;
  /** Whether rows stand under a header that doesn't have the log's columns. */
  let underOther = false;
  /** Units of the row under the header, to be held against those under a repeated header. */
  let unitsBelow: string | null = known?.unitsBelow ?? null;
  let justUnderHeader = known?.justUnderHeader ?? true;
  // The last sample handed over or standing in the columns, for duplicates and order.
  let lastMs = known?.lastMs ?? Number.NEGATIVE_INFINITY;
  let stepMs = known?.stepMs ?? Number.NaN;
  const standing = known?.standing ?? new Float32Array(m);
  const standingEnergies = known?.standingEnergies ?? new Float64Array(energyCount);
  let standingSource = known?.standingSource ?? 0;
  let standingFault = known?.standingFault ?? 0;
  // First of the samples in a repeated hour of which it is open whether they are in its first or second pass.
  let openFrom = -1;
  let openSpanMs = 0;
  /** Whether the open rows, read as the first pass, go on from the row before them. */
  let openJoins = false;
  const openTexts: string[] = [];

  function take(written: readonly string[], line: number): void {
    counts.records++;
    if (written.length !== width && !widthFits(written)) {
      takeOddWidth(written, line);
      return;
    }
    const cells = places === null ? written : arranged(written, places);
    const text =
      timeB === -1 ? cells[timeA] : time.length === 2 ? `${cells[timeA]} ${cells[timeB]}` : joined(cells);
    let at = times.read(text);
    if (!(at >= YEAR_2000_MS && at <= latestMs)) {
      takeOddTime(written, line, text, at);
      return;
    }
    if (underOther) {
      reject("row.other-header", line, -1, written.join(" "), "given");
      return;
    }
    justUnderHeader = false;
    if (pendingFooters.length > 0) rejectFooters();
    firstRowSeen = true;
    const second = times.second();
    // NaN is the usual case, a time that happened once.
    if (!Number.isNaN(second)) {
      at = settleRepeated(at, second);
      if (Number.isNaN(at)) {
        reject("cell.time-ambiguous", line, timeA, text, timeRule);
        return;
      }
    } else if (openFrom >= 0) {
      closeRepeated(at);
    }

    const n = into.n;
    let good = 0;
    for (let k = 0; k < m; k++) {
      if (index[k] < 0) {
        values[k][n] = Number.NaN;
        continue;
      }
      const cell = cells[index[k]];
      let value = numbers.read(cell, unit[k]);
      if (minusIndex[k] >= 0) {
        if (Number.isNaN(value) && numbers.bad()) countBadNumber(cell, line, k, index[k]);
        const minus = cells[minusIndex[k]];
        const down = numbers.read(minus, unit[k]);
        if (Number.isNaN(down) && numbers.bad()) countBadNumber(minus, line, k, minusIndex[k]);
        // Of a one-way pair the idle side is often left empty; both empty is missing.
        value = Number.isNaN(value) ? -down : Number.isNaN(down) ? value : value - down;
      } else if (Number.isNaN(value)) {
        if (numbers.bad()) countBadNumber(cell, line, k, index[k]);
        values[k][n] = value;
        continue;
      }
      value = value * multiply[k];
      if (divide[k] !== 1) value = value / divide[k] + add[k];
      if (value >= min[k] && value <= max[k]) {
        if (isSolar[k] === 1 && value < 0) {
          taker.solarBelowZero++;
          value = 0;
        }
        // Adding 0 turns -0, which a sign can make, into 0.
        values[k][n] = value + 0;
        good++;
      } else {
        if (!Number.isNaN(value)) countOutOfRange(cell, line, k);
        values[k][n] = Number.NaN;
      }
    }
    for (let e = 0; e < energyCount; e++) if (takeEnergy(cells, line, n, e)) good++;
    if (sourceIndex >= 0) {
      const cell = cells[sourceIndex];
      if (cell !== lastSourceText) {
        lastSource = sourceCode(cell);
        lastSourceText = cell;
      }
      if (lastSource < 0) countUnknownWord(cell, line);
      sources[n] = lastSource < 0 ? SOURCE_CODE.unknown : lastSource;
      if (lastSource > 0) good++;
    }
    if (faultIndex >= 0) {
      const cell = cells[faultIndex];
      if (cell !== lastFaultText) {
        lastFault = faultCode(cell);
        lastFaultText = cell;
      }
      faults[n] = lastFault;
      if (lastFault > 0) good++;
    }
    if (good === 0) {
      reject("row.no-channel", line, -1, cells.join(" "), "given");
      return;
    }
    timesMs[n] = at;
    lines[n] = line;
    if (inOrder && at <= lastMs) {
      if (at < lastMs) {
        taker.outOfOrder = true;
        return;
      }
      if (sameAsLast(n)) {
        counts.duplicates++;
      } else {
        counts.conflicts++;
        options.onConflict?.(into, n);
        rejects.add("series.conflict", line, column(timeA), text, timeRule);
      }
      return;
    }
    if (openFrom >= 0) openTexts.push(text);
    stepMs = at - lastMs;
    lastMs = at;
    counts.taken++;
    into.n = n + 1;
  }

  function takeEnergy(cells: readonly string[], line: number, n: number, e: number): boolean {
    const { index: at, multiply: wh, channel, unit: own } = columns.energies[e];
    const cell = cells[at];
    const value = numbers.read(cell, own) * wh;
    const fits = value >= -MAX_ENERGY_WH && value <= MAX_ENERGY_WH;
    energies[e][n] = fits ? value : Number.NaN;
    if (fits) return true;
    if (!Number.isNaN(value)) rejects.add("cell.out-of-range", line, column(at), cell, ruleOf(channel));
    else if (numbers.bad()) countBadNumber(cell, line, channel, at);
    return false;
  }

  /** A row is as wide as the header, or wider by empty fields only (a trailing delimiter). */
  function widthFits(cells: readonly string[]): boolean {
    if (cells.length < width) return false;
    for (let i = width; i < cells.length; i++) if (cells[i].trim() !== "") return false;
    return true;
  }

  function arranged(cells: readonly string[], by: Int32Array): readonly string[] {
    return names.map((_, i) => (by[i] < 0 ? "" : cells[by[i]]));
  }

  /** Parts of a time that stand in more than two columns. */
  function joined(cells: readonly string[]): string {
    let text = cells[timeA];
    for (let i = 1; i < time.length; i++) text += ` ${cells[time[i]]}`;
    return text;
  }

  function takeOddWidth(cells: readonly string[], line: number): void {
    if (isBlank(cells) || isHeaderAgain(cells) || isComment(cells)) counts.skipped++;
    else if (looksLikeFooter(cells)) holdFooter(line, cells.join(" "), "row.field-count");
    else reject("row.field-count", line, -1, cells.join(" "), "given");
  }

  function takeOddTime(cells: readonly string[], line: number, text: string, at: number): void {
    if (!Number.isNaN(at)) {
      reject("cell.time-out-of-range", line, timeA, text, timeRule);
    } else if (!times.onClock()) {
      reject("cell.time-not-on-clock", line, timeA, text, timeRule);
    } else if (isBlank(cells) || isHeaderAgain(cells) || isUnitRow(cells) || isComment(cells)) {
      counts.skipped++;
    } else if (looksLikeFooter(cells)) {
      holdFooter(line, text, "cell.not-a-time");
    } else {
      reject("cell.not-a-time", line, timeA, text, timeRule);
    }
  }

  /** A header in the middle, as files that were put together have it: what stood right above it is no record. */
  function isHeaderAgain(cells: readonly string[]): boolean {
    const again = hasHeader ? headerAgain(cells, names, used) : null;
    if (again === null) return false;
    counts.skipped += pendingFooters.length;
    pendingFooters.length = 0;
    underOther = again === "other";
    places = typeof again === "object" ? again : null;
    width = places === null ? names.length : trimmedLength(cells);
    justUnderHeader = true;
    return true;
  }

  /** A row of units stands right under a header. Where it has other units than the first one, figures would be wrong. */
  function isUnitRow(cells: readonly string[]): boolean {
    const units = justUnderHeader ? unitRow(places === null ? cells : arranged(cells, places)) : null;
    if (units === null) return false;
    const below = used.map((i) => units[i]).join(" ");
    if (unitsBelow !== null && unitsBelow !== below) underOther = true;
    if (!firstRowSeen) unitsBelow = below;
    return true;
  }

  function looksLikeFooter(cells: readonly string[]): boolean {
    const first = cells.find((c) => c.trim() !== "")?.trim() ?? "";
    return /^[\p{L}#*=-]/u.test(first) && cells[timeA] !== undefined && !/^\s*\d/.test(cells[timeA]);
  }

  /** Whether such a row is a footer only the end of the file tells. */
  function holdFooter(line: number, text: string, code: "row.field-count" | "cell.not-a-time"): void {
    pendingFooters.push({ line, text: text.slice(0, 200), code });
    if (pendingFooters.length > MAX_PENDING_FOOTERS) rejectFooters();
  }

  function rejectFooters(): void {
    for (const { code, line, text } of pendingFooters) {
      if (code === "row.field-count") reject(code, line, -1, text, "given");
      else reject(code, line, timeA, text, timeRule);
    }
    pendingFooters.length = 0;
  }

  /**
   * Of the two instants of a repeated wall time, the one that goes on from the row before. NaN where the
   * order doesn't say. In order, a first pass is kept open until the clock is seen to step back: where only
   * one pass was logged, it may go on from the row before by one reading and to the row after by the other.
   */
  function settleRepeated(first: number, second: number): number {
    if (inOrder) {
      if (first <= lastMs) {
        if (!steppedBack(first, second)) return first;
        // What came before was the first pass.
        openFrom = -1;
        return second;
      }
      if (openFrom < 0) {
        openJoins = Number.isFinite(stepMs) && first - lastMs <= 3 * stepMs;
        if (into.n >= into.capacity - 1) return openJoins ? first : Number.NaN;
        openFrom = into.n;
        openTexts.length = 0;
        openSpanMs = second - first;
      }
      return first;
    }
    const reach = 3 * Math.abs(stepMs);
    const toFirst = Math.abs(first - lastMs);
    const toSecond = Math.abs(second - lastMs);
    if (toFirst > reach && toSecond > reach) return Number.NaN;
    if (!(reach > 0)) return Number.NaN;
    if (toFirst === 0) return stepMs < 0 ? Number.NaN : second;
    if (toSecond === 0) return stepMs < 0 ? first : Number.NaN;
    return toFirst < toSecond ? first : second;
  }

  /**
   * Whether a row that seems to lie before the last one is the second pass: it joins on to the last one, or
   * lies too far back for two rows that changed places.
   */
  function steppedBack(first: number, second: number): boolean {
    if (second <= lastMs) return false;
    if (!Number.isFinite(stepMs)) return first < lastMs;
    return second - lastMs <= 3 * stepMs || lastMs - first > 3 * stepMs;
  }

  /**
   * The rows left the repeated hour without a step back: they were the pass that joins on to its neighbour. Where
   * both do, or neither, nothing tells.
   */
  function closeRepeated(nextMs: number): void {
    const from = openFrom;
    const n = into.n;
    openFrom = -1;
    if (from >= n) return;
    const step = n - from > 1 || (openJoins && n > 1) ? timesMs[n - 1] - timesMs[n - 2] : Number.NaN;
    const joinsNext =
      nextMs - (timesMs[n - 1] + openSpanMs) <= 3 * step && nextMs > timesMs[n - 1] + openSpanMs;
    if (openJoins && !joinsNext) return;
    if (joinsNext && !openJoins) {
      for (let i = from; i < n; i++) timesMs[i] += openSpanMs;
      lastMs = timesMs[n - 1];
      return;
    }
    rejectOpen(from);
  }

  /** No row after them will tell: what goes on from the row before is the first pass. */
  function giveUpOpen(): void {
    if (openFrom >= 0 && !openJoins) rejectOpen(openFrom);
    openFrom = -1;
  }

  function rejectOpen(from: number): void {
    for (let i = from; i < into.n; i++) {
      counts.taken--;
      reject("cell.time-ambiguous", lines[i], timeA, openTexts[i - from] ?? "", timeRule);
    }
    into.n = from;
    lastMs = from > 0 ? timesMs[from - 1] : beforeColumnsMs;
  }
  let beforeColumnsMs = known?.beforeColumnsMs ?? Number.NEGATIVE_INFINITY;

  function sameAsLast(n: number): boolean {
    if (into.n === 0) {
      for (let k = 0; k < m; k++) if (!same(values[k][n], standing[k])) return false;
      for (let e = 0; e < energyCount; e++) if (!same(energies[e][n], standingEnergies[e])) return false;
      return (
        (sourceIndex < 0 || sources[n] === standingSource) && (faultIndex < 0 || faults[n] === standingFault)
      );
    }
    const before = n - 1;
    for (let k = 0; k < m; k++) if (!same(values[k][n], values[k][before])) return false;
    for (let e = 0; e < energyCount; e++) if (!same(energies[e][n], energies[e][before])) return false;
    return (
      (sourceIndex < 0 || sources[n] === sources[before]) && (faultIndex < 0 || faults[n] === faults[before])
    );
  }

  function sourceCode(text: string): number {
    const word = text.trim();
    const exact = sourceWords.get(word) ?? sourceWords.get(fold(word));
    if (exact !== undefined) return exact;
    return missing.has(fold(word)) ? SOURCE_CODE.unknown : -1;
  }

  function faultCode(text: string): number {
    const word = text.trim();
    const folded = fold(word);
    if (noFault.has(folded) || missing.has(folded)) return 0;
    const known = faultCodes.get(word);
    if (known !== undefined) return known;
    if (faultWords.length >= MAX_FAULT_WORDS) return MAX_FAULT_WORDS + 1;
    const code = Buffer.from(word.slice(0, 200)).toString();
    faultWords.push({ code, meaning: Object.hasOwn(faultMeanings, word) ? faultMeanings[word] : null });
    if (faultWords.length === MAX_FAULT_WORDS) faultWords.push({ code: "another code", meaning: null });
    faultCodes.set(code, faultWords.length);
    return faultWords.length;
  }

  function countBadNumber(cell: string, line: number, k: number, at: number): void {
    rejects.add("cell.not-a-number", line, column(at), cell, ruleOf(k));
  }

  function countOutOfRange(cell: string, line: number, k: number): void {
    rejects.add("cell.out-of-range", line, column(index[k]), cell, ruleOf(k));
  }

  function countUnknownWord(cell: string, line: number): void {
    rejects.add(
      "cell.unknown-word",
      line,
      column(sourceIndex),
      cell,
      guessed.has("source") ? "guessed" : "given",
    );
  }

  function ruleOf(k: number): "guessed" | "given" {
    return guessed.has(channels[k].channel) ? "guessed" : "given";
  }

  function column(at: number): { index: number; name: string } {
    return { index: at, name: columns.names[at] };
  }

  function reject(
    code: Parameters<Rejects["add"]>[0],
    line: number,
    at: number,
    text: string,
    rule: "guessed" | "given",
  ): void {
    counts.rejected++;
    rejects.add(code, line, at < 0 ? null : column(at), text, rule);
  }

  const taker: RowTaker = {
    counts,
    faultWords,
    solarBelowZero: known?.solarBelowZero ?? 0,
    outOfOrder: false,
    take,
    takeBroken(code, line, text) {
      counts.records++;
      reject(code, line, -1, text, "given");
    },
    settled() {
      if (openFrom < 0) return true;
      if (into.n < into.capacity - 1) return false;
      giveUpOpen();
      return true;
    },
    handedOver() {
      const last = into.n - 1;
      if (last >= 0) {
        for (let k = 0; k < m; k++) standing[k] = values[k][last];
        for (let e = 0; e < energyCount; e++) standingEnergies[e] = energies[e][last];
        standingSource = sources[last];
        standingFault = faults[last];
        beforeColumnsMs = timesMs[last];
      }
      into.n = 0;
    },
    end() {
      giveUpOpen();
      counts.skipped += pendingFooters.length;
      pendingFooters.length = 0;
    },
    state() {
      const waits = openFrom >= 0 || into.n > 0 || pendingFooters.length > 0 || places !== null || underOther;
      if (waits || !inOrder) return null;
      return {
        counts,
        faultWords,
        solarBelowZero: taker.solarBelowZero,
        firstRowSeen,
        unitsBelow,
        justUnderHeader,
        lastMs,
        stepMs,
        standing,
        standingEnergies,
        standingSource,
        standingFault,
        beforeColumnsMs,
      };
    },
  };
  return taker;
}

function isBlank(cells: readonly string[]): boolean {
  return cells.every((c) => c.trim() === "");
}

function isComment(cells: readonly string[]): boolean {
  return cells[0].trimStart().startsWith("#");
}

function trimmedLength(cells: readonly string[]): number {
  let length = cells.length;
  while (length > 1 && cells[length - 1].trim() === "") length--;
  return length;
}

function fold(word: string): string {
  return word.trim().toLowerCase();
}

function same(a: number, b: number): boolean {
  return a === b || (Number.isNaN(a) && Number.isNaN(b));
}
