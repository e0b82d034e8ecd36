import type { ColumnMap } from "../site/column-map";
import { columnNamesOf } from "./column-names-of";
import { createByteDecoder } from "./decode-bytes";
import { ERROR_CATALOGUE, type ErrorCode } from "./error-catalogue";
import { type LogColumns, logColumns } from "./log-columns";
import type { LogSource } from "./log-source";
import type { LogNote, LogVerdict } from "./log-verdict";
import { nominalIntervalMs } from "./nominal-interval";
import { createNumberReader } from "./number-reader";
import {
  type CoarseCounter,
  createPowerFromEnergy,
  type PowerFromEnergy,
  type PowerFromEnergyState,
} from "./power-from-energy";
import { type LogHead, readHead } from "./read-head";
import { packReadState, type ReadPosition, type ReadState, unpackReadState } from "./read-position";
import { type BrokenRecord, createRecordReader } from "./record-reader";
import type { Refusal } from "./refusal";
import { createRejects, type Rejects } from "./rejects";
import { createRowTaker, type RowTaker, type RowTakerState } from "./row-taker";
import { batchOf, createSampleColumns, type SampleColumns } from "./sample-columns";
import type { LogShape, SampleSink } from "./sample-sink";
import { sniffTimeForm } from "./sniff/time-form";
import { createSortedRuns, type SortedRuns } from "./sorted-runs";
import { createTimeReader } from "./time-reader";
import { UnreadableContainer } from "./unreadable-container";

/** Bytes of the head that settle how a log is read. */
export const HEAD_BYTES = 1024 * 1024;

/** Largest log that one import takes. */
export const MAX_LOG_BYTES = 16 * 1024 ** 3;

/** How many samples the nominal interval is taken from (definitions D1). */
const FIRST_STAMPS = 1000;

/** Samples in a batch. */
const BATCH_SAMPLES = 8192;

const PROGRESS_MS = 200;

export type LogProgress = {
  /** Bytes of this pass. */
  readonly bytes: number;
  /** Records of this pass. */
  readonly rows: number;
  /** 2 where the log turned out not to be in order and is read again. */
  readonly pass: 1 | 2;
};

/** How a log's times begin, and how far they are moved. */
export type FirstStamps = {
  /** Its first instants, at most 1,000, as they were written: ascending, none twice. */
  readonly stampsMs: Float64Array;
  /** How far every time of it is moved back; 0 for a log that stamps the start. */
  readonly shiftMs: number;
};

export type ReadLogOptions = {
  /** The site's IANA zone: what `zone: "site"` means. */
  readonly siteZone: string;
  /** When the log was received; later times, by more than a day, are a clock that was not set. */
  readonly receivedAtMs: number;
  /**
   * Nominal interval of the stamps of the logger's whole fold (`foldNominalMs`): times of a log that stamps the end
   * are moved back by it, to the whole millisecond. The log's own without it.
   */
  readonly nominalMs?: number | null;
  /** Choices of the map that were inferred ("time", channel names): the rejects say so. */
  readonly guessed?: ReadonlySet<string>;
  readonly signal?: AbortSignal;
  /** Told of the log's first stamps before the first batch is handed over, and again after a restart. */
  readonly onFirstStamps?: (first: FirstStamps) => void;
  /**
   * Told of each row whose instant an earlier row of the same log has with other values, by its place in the columns;
   * from the beginning again after a restart. Its time is as it was written.
   */
  readonly onConflict?: (columns: SampleColumns, at: number) => void;
  /** About five times a second. */
  readonly onProgress?: (progress: LogProgress) => void;
  /** Told at the end where a log in order can be read on from once it has grown; not told where it can't. */
  readonly onPosition?: (position: ReadPosition) => void;
  /** Where a log that is not in order is sorted; the system's temporary folder without it. */
  readonly tmpDir?: string;
};

/**
 * Reads a log by its column map and hands its samples to the sink, in ascending time, in batches of at most
 * BATCH_SAMPLES. Memory is constant whatever the file holds. It is read in one go as long as its rows are in
 * order; at the first one that is not, the sink is told to restart and the log is read again and sorted.
 *
 * Never throws for what the file holds: a log of which nothing can be taken gives `refused` (the sink may
 * have got batches by then, but `end` was not called). Errors of the source and the sink go through, as does
 * the signal's reason.
 */
export async function readLog(
  source: LogSource,
  map: ColumnMap,
  options: ReadLogOptions,
  sink: SampleSink,
): Promise<LogVerdict> {
  try {
    return await read(source, map, options, sink);
  } catch (error) {
    // An archive that turns out damaged or too large in its middle is what the file holds.
    if (error instanceof UnreadableContainer) return refused(source.name, error.refusal);
    throw error;
  }
}

async function read(
  source: LogSource,
  map: ColumnMap,
  options: ReadLogOptions,
  sink: SampleSink,
): Promise<LogVerdict> {
  const { name } = source;
  if (source.sizeBytes !== null && source.sizeBytes > MAX_LOG_BYTES) return refused(name, tooLarge(source));
  const opened = await openHead(source, options.signal);
  const headRead = readHead(name, opened.bytes, opened.whole, columnNamesOf(map), map.text);
  if (!headRead.ok) return refused(name, headRead.refusal);
  const { head } = headRead;
  const found = logColumns(name, map, head.header.names, head.headerLine);
  if (!found.ok) return refused(name, found.refusal);
  const time = settleFormat({ name, map, latestMs: options.receivedAtMs }, head, found.columns);
  if ("code" in time) return refused(name, time);

  const shape: LogShape = {
    channels: found.columns.channels.map((c) => c.channel),
    hasSource: found.columns.source >= 0,
    hasFault: found.columns.fault >= 0,
  };
  const rejects = createRejects(name);
  const reading: Reading = {
    source,
    map,
    options,
    head,
    columns: found.columns,
    ...time,
    shape,
    rejects,
    into: createSampleColumns(shape, 2 * BATCH_SAMPLES, found.columns.energies.length),
  };
  const output = createOutput(reading, sink, null);
  await sink.begin(shape);
  const inOrder = await readThrough(reading, 1, output, null);
  if (inOrder.result === "done") {
    const problem = nothingTaken(reading, inOrder.taker);
    if (problem !== null) return refused(name, problem);
    await output.end();
    return finish(reading, inOrder.taker, output, sink);
  }
  if (inOrder.result !== "out-of-order") return refused(name, inOrder.result);

  rejects.clear();
  reading.into.n = 0;
  await sink.restart();
  await sink.begin(shape);
  output.restart();
  const runs = createSortedRuns(shape, options.tmpDir, undefined, found.columns.energies.length);
  try {
    const intoRuns = { handOver: async () => runs.add(reading.into), mark: () => {} };
    const sorted = await readThrough(reading, 2, intoRuns, null);
    if (sorted.result !== "done")
      return refused(name, sorted.result === "out-of-order" ? emptyLog(name) : sorted.result);
    reading.into.n = 0;
    await handOverSorted(reading, runs, sorted.taker, output);
    await output.end();
    output.notes.push({ code: "series.sorted", figures: { samples: sorted.taker.counts.taken } });
    return await finish(reading, sorted.taker, output, sink);
  } finally {
    runs.close();
  }
}

/**
 * Reads on in a log that has grown, from where its reading stood, and hands the samples from there on to the sink:
 * among them those from `position.tailFromMs` on again, which the caller has taken out. The verdict is that of the whole
 * log, but for its rejects: those before the first `rejectsBefore` are the ones that stand already.
 *
 * @param source the whole log, of which the bytes from `position.bytes` on are read
 * @returns null where it has to be read from its beginning: by then the sink may have got samples, but `end` was not
 * called
 */
export async function continueLog(
  source: LogSource & { range(from: number, to: number): AsyncIterable<Uint8Array>; sizeBytes: number },
  map: ColumnMap,
  position: ReadPosition,
  options: ReadLogOptions,
  sink: SampleSink,
): Promise<{ verdict: Extract<LogVerdict, { refused: false }>; rejectsBefore: number } | null> {
  const state = unpackReadState(position.state);
  // With so few bytes or rows the head, or the nominal interval, could still become another one.
  if (state === null || position.bytes < HEAD_BYTES || state.taker.counts.taken < FIRST_STAMPS) return null;
  if (state.siteZone !== options.siteZone || source.sizeBytes > MAX_LOG_BYTES) return null;
  // These are held against the day on which the log came.
  if (state.rejects.codes["cell.time-out-of-range"] !== undefined) return null;
  const { name } = source;
  const head: LogHead = { ...state.head, rows: [], lines: [], preamble: [] };
  const found = logColumns(name, map, head.header.names, head.headerLine);
  if (!found.ok) return null;
  const shape: LogShape = {
    channels: found.columns.channels.map((c) => c.channel),
    hasSource: found.columns.source >= 0,
    hasFault: found.columns.fault >= 0,
  };
  const reading: Reading = {
    source: { ...source, open: () => source.range(position.bytes, source.sizeBytes) },
    map,
    options,
    head,
    columns: found.columns,
    format: state.format,
    dayDecimals: state.dayDecimals,
    shape,
    rejects: createRejects(name, state.rejects),
    into: createSampleColumns(shape, 2 * BATCH_SAMPLES, found.columns.energies.length),
  };
  const output = createOutput(reading, sink, state);
  await sink.begin(shape);
  const { result, taker } = await readThrough(reading, 1, output, { state, bytes: position.bytes });
  if (result !== "done") return null;
  await output.end();
  const verdict = await finish(reading, taker, output, sink);
  return verdict.refused ? null : { verdict, rejectsBefore: state.rejects.before };
}

type Reading = {
  readonly source: LogSource;
  readonly map: ColumnMap;
  readonly options: ReadLogOptions;
  readonly head: LogHead;
  readonly columns: LogColumns;
  readonly format: string;
  /** Most decimals of a spreadsheet's days in the head. */
  readonly dayDecimals: number;
  readonly shape: LogShape;
  readonly rejects: Rejects;
  readonly into: SampleColumns;
};

type Output = {
  handOver(): Promise<void>;
  /** Puts away where the reading stands; what is handed over from here on is what a longer log may change. */
  mark(bytes: number, line: number, head: LogHead, taker: RowTakerState): void;
  /** What was put away. */
  position(): ReadPosition | null;
  /** No more samples come: hands over those that waited for their power. */
  end(): Promise<void>;
  /** What was found of counters; empty where the log has none. */
  coarse(): readonly CoarseCounter[];
  solarBelowZero(): number;
  restart(): void;
  firstMs: number | null;
  lastMs: number | null;
  nominalMs: number | null;
  readonly notes: LogNote[];
};

async function openHead(
  source: LogSource,
  signal?: AbortSignal,
): Promise<{ bytes: Uint8Array; whole: boolean }> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of source.open()) {
    signal?.throwIfAborted();
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= HEAD_BYTES) break;
  }
  const bytes = Buffer.concat(parts);
  return size >= HEAD_BYTES ? { bytes: bytes.subarray(0, HEAD_BYTES), whole: false } : { bytes, whole: true };
}

/** "auto" settled to one form by the head; a refusal where the head doesn't settle it. */
function settleFormat(
  { name, map, latestMs }: { name: string; map: ColumnMap; latestMs: number },
  head: LogHead,
  columns: LogColumns,
): Pick<Reading, "format" | "dayDecimals"> | Refusal {
  const { format, date } = map.time;
  if (format !== "auto" && !format.startsWith("spreadsheet")) return { format, dayDecimals: 0 };
  const before = date === undefined ? "" : `${date} `;
  const texts = head.rows.map((cells) => before + columns.time.map((i) => cells[i] ?? "").join(" "));
  const form = sniffTimeForm(texts, { latestMs });
  if (format !== "auto") return { format, dayDecimals: form.decimals };
  if (form.format !== null) return { format: form.format, dayDecimals: form.decimals };
  if (form.order === "open") {
    return {
      code: "header.no-time",
      what: `The times, such as "${form.example}", don't show whether the day or the month comes first.`,
      where: `${name}, column "${columns.names[columns.time[0]]}"`,
      hint: `State time.format in columns.json: ${form.candidates.map((c) => `"${c}"`).join(" or ")}.`,
    };
  }
  // Every row will be rejected as it deserves, in a log that is otherwise a table.
  return { format, dayDecimals: 0 };
}

async function readThrough(
  reading: Reading,
  pass: 1 | 2,
  output: Pick<Output, "handOver" | "mark">,
  known: { state: ReadState; bytes: number } | null,
): Promise<{ result: "done" | "out-of-order" | Refusal; taker: RowTaker }> {
  const { source, map, options, head, into } = reading;
  const { signal, onProgress } = options;
  const taker = createRowTaker({
    map,
    columns: reading.columns,
    times: createTimeReader({
      format: reading.format,
      zone: map.time.zone === "site" ? options.siteZone : map.time.zone,
      dayDecimals: reading.dayDecimals,
      date: map.time.date,
    }),
    numbers: createNumberReader(head.dialect.decimalMark, map.missing),
    into,
    rejects: reading.rejects,
    onConflict: options.onConflict,
    guessed: options.guessed ?? NOTHING,
    receivedAtMs: options.receivedAtMs,
    inOrder: pass === 1,
    known: known?.state.taker,
  });
  const decoder = createByteDecoder(head.encoding.encoding, head.encoding.open);
  const records = createRecordReader({
    delimiter: head.dialect.delimiter,
    newline: head.dialect.newline,
    columns: head.dialect.columns,
    firstLine: known?.state.line,
  });
  const { bodyLine } = head;
  let bytes = known?.bytes ?? 0;
  /** Bytes up to the end of the last whole line. */
  let wholeBytes = bytes;
  let reportedAt = 0;

  for await (const chunk of source.open()) {
    signal?.throwIfAborted();
    for (let from = 0; from < chunk.byteLength; from += CHUNK_BYTES) {
      const text = decoder.push(chunk.subarray(from, from + CHUNK_BYTES));
      await takeBlock(records.push(text));
      if (taker.outOfOrder) return { result: "out-of-order", taker };
    }
    const end = Buffer.from(chunk.buffer, chunk.byteOffset, chunk.byteLength).lastIndexOf(LINE_FEED);
    if (end >= 0) wholeBytes = bytes + end + 1;
    bytes += chunk.byteLength;
    if (onProgress !== undefined && performance.now() - reportedAt >= PROGRESS_MS) {
      reportedAt = performance.now();
      onProgress({ bytes, rows: taker.counts.records, pass });
    }
  }
  // Which day a time of day is of hangs on all rows before it.
  if (pass === 1 && options.onPosition !== undefined && map.time.date === undefined) await mark();
  const rest = decoder.end();
  if (rest !== "") await takeBlock(records.push(rest));
  await takeBlock(records.end());
  if (taker.outOfOrder) return { result: "out-of-order", taker };
  taker.end();
  if (taker.counts.records === 0) return { result: emptyLog(source.name), taker };
  if (into.n > 0) {
    await output.handOver();
    taker.handedOver();
  }
  onProgress?.({ bytes, rows: taker.counts.records, pass });
  return { result: "done", taker };

  /** Puts away where the reading stands, if that is between two lines that are told apart by their bytes. */
  async function mark(): Promise<void> {
    const line = records.nextLine();
    if (line === null || head.dialect.newline !== "\n" || head.encoding.encoding.startsWith("utf-16")) return;
    if (into.n > 0) {
      if (!taker.settled()) return;
      await output.handOver();
      taker.handedOver();
    }
    const state = taker.state();
    if (state === null) return;
    const settled = decoder.settled();
    const encoding = settled === null ? head.encoding : { ...head.encoding, encoding: settled, open: false };
    output.mark(wholeBytes, line, { ...head, encoding }, state);
  }

  async function takeBlock(block: ReturnType<typeof records.push>): Promise<void> {
    const { rows, lines, firstLine, broken } = block;
    let b = 0;
    for (let i = 0; i < rows.length; i++) {
      const line = lines === null ? firstLine + i : lines[i];
      while (b < broken.length && broken[b].line < line) takeBroken(broken[b++]);
      if (line < bodyLine) continue;
      taker.take(rows[i], line);
      if (taker.outOfOrder) return;
      if (into.n >= BATCH_SAMPLES && taker.settled()) {
        await output.handOver();
        taker.handedOver();
      }
    }
    while (b < broken.length) takeBroken(broken[b++]);
  }

  function takeBroken({ code, line, text }: BrokenRecord): void {
    if (line >= bodyLine) taker.takeBroken(code, line, text);
  }
}

const NOTHING: ReadonlySet<string> = new Set();

const LINE_FEED = 10;

/** Small enough that the fields of one piece die young in memory. */
const CHUNK_BYTES = 64 * 1024;

function createOutput(reading: Reading, sink: SampleSink, known: ReadState | null): Output {
  const { into, shape, map, options, columns, rejects } = reading;
  let shiftMs: number | null = known?.shiftMs ?? null;
  let powers: PowerFromEnergy | null = known === null ? null : powersFrom(known.shiftMs, known.powers);
  let marked: Omit<ReadPosition, "tailFromMs"> | null = null;
  let tailFromMs: number | null = null;

  function begin(): void {
    const timesMs = into.timesMs.subarray(0, into.n);
    output.nominalMs = nominalIntervalMs(timesMs);
    shiftMs = map.time.stamps === "end" ? Math.round(options.nominalMs ?? output.nominalMs ?? 0) : 0;
    options.onFirstStamps?.({ stampsMs: timesMs.slice(0, FIRST_STAMPS), shiftMs });
    powers = powersFrom(shiftMs, null);
  }

  function powersFrom(movedMs: number, state: PowerFromEnergyState | null): PowerFromEnergy | null {
    if (columns.energies.length === 0) return null;
    return createPowerFromEnergy(
      shape,
      columns.energyChannels,
      columns.energies.length,
      movedMs,
      (code, line, energy, readings) => {
        const { index, multiply, channel } = columns.energies[energy];
        const text = readings.map((wh) => String(wh / multiply)).join(" → ");
        const rule = (options.guessed ?? NOTHING).has(columns.channels[channel].channel)
          ? "guessed"
          : "given";
        rejects.add(code, line, { index, name: columns.names[index] }, text, rule);
      },
      state,
    );
  }

  async function give(from: SampleColumns): Promise<void> {
    if (from.n === 0) return;
    const batch = batchOf(from, shape, from.n);
    const { timesMs } = batch;
    const given = !shiftMs ? null : timesMs.slice();
    if (shiftMs) for (let i = 0; i < timesMs.length; i++) timesMs[i] -= shiftMs;
    output.firstMs ??= timesMs[0];
    if (marked !== null) tailFromMs ??= timesMs[0];
    output.lastMs = timesMs[timesMs.length - 1];
    await sink.batch(batch);
    // The reader goes on from the times as they were written.
    if (given !== null) timesMs.set(given);
  }

  const output: Output = {
    firstMs: known?.firstMs ?? null,
    lastMs: known?.taker.lastMs === undefined ? null : known.taker.lastMs - known.shiftMs,
    nominalMs: known?.nominalMs ?? null,
    notes: [],
    mark(bytes, line, whole, taker) {
      const { rows: _, lines: __, preamble: ___, ...head } = whole;
      if (shiftMs === null) return;
      const state = {
        line,
        head,
        format: reading.format,
        dayDecimals: reading.dayDecimals,
        siteZone: options.siteZone,
        taker,
        rejects: rejects.state(Math.min(line, powers?.firstLine() ?? line)),
        powers: powers?.state() ?? null,
        shiftMs,
        firstMs: output.firstMs,
        nominalMs: output.nominalMs,
      };
      marked = { bytes, state: packReadState(state) };
    },
    position: () => (marked === null ? null : { ...marked, tailFromMs }),
    restart() {
      marked = null;
      tailFromMs = null;
      shiftMs = null;
      powers = null;
      output.firstMs = null;
      output.lastMs = null;
      output.nominalMs = null;
    },
    async handOver() {
      if (shiftMs === null) begin();
      await give(powers === null ? into : powers.push(into));
      powers?.handedOver();
    },
    async end() {
      if (powers === null) return;
      await give(powers.end());
      powers.handedOver();
    },
    coarse: () => powers?.coarse() ?? [],
    solarBelowZero: () => powers?.solarBelowZero() ?? 0,
  };
  return output;
}

/** Hands the sorted samples over, each instant once: equal ones are duplicates, others conflicts. */
async function handOverSorted(
  reading: Reading,
  runs: SortedRuns,
  taker: RowTaker,
  output: Output,
): Promise<void> {
  const { into, shape, rejects, options, columns } = reading;
  const { counts } = taker;
  const name = { index: columns.time[0], name: columns.names[columns.time[0]] };
  const rule = (options.guessed ?? NOTHING).has("time") ? "guessed" : "given";
  // The sample before stands at 0, so that each is compared with a neighbour in the same columns.
  let kept = 0;
  for (let more = true; more; ) {
    options.signal?.throwIfAborted();
    const from = into.n;
    more = runs.fill(into, BATCH_SAMPLES);
    kept = from;
    for (let i = from; i < into.n; i++) {
      if (kept > 0 && into.timesMs[i] === into.timesMs[kept - 1]) {
        counts.taken--;
        if (equalSamples(into, shape, i, kept - 1)) {
          counts.duplicates++;
        } else {
          counts.conflicts++;
          options.onConflict?.(into, i);
          rejects.add("series.conflict", into.lines[i], name, new Date(into.timesMs[i]).toISOString(), rule);
        }
        continue;
      }
      if (kept !== i) moveSample(into, i, kept);
      kept++;
    }
    into.n = kept;
    // The last one is held back as the neighbour of the next.
    if (more && kept > 1 && kept >= BATCH_SAMPLES / 2) {
      into.n = kept - 1;
      await output.handOver();
      moveSample(into, kept - 1, 0);
      into.n = 1;
    }
  }
  if (into.n > 0) await output.handOver();
}

function equalSamples(columns: SampleColumns, shape: LogShape, a: number, b: number): boolean {
  for (const values of columns.values) if (!Object.is(values[a], values[b])) return false;
  for (const energies of columns.energies) if (!Object.is(energies[a], energies[b])) return false;
  return (
    (!shape.hasSource || columns.sources[a] === columns.sources[b]) &&
    (!shape.hasFault || columns.faults[a] === columns.faults[b])
  );
}

function moveSample(columns: SampleColumns, from: number, to: number): void {
  columns.timesMs[to] = columns.timesMs[from];
  columns.lines[to] = columns.lines[from];
  columns.sources[to] = columns.sources[from];
  columns.faults[to] = columns.faults[from];
  for (const values of columns.values) values[to] = values[from];
  for (const energies of columns.energies) energies[to] = energies[from];
}

async function finish(
  reading: Reading,
  taker: RowTaker,
  output: Output,
  sink: SampleSink,
): Promise<LogVerdict> {
  const { counts } = taker;
  const { rejects, columns, source, options } = reading;
  const stored = await sink.end(taker.faultWords);
  counts.taken -= stored.duplicates + stored.conflicts;
  counts.duplicates += stored.duplicates;
  counts.conflicts += stored.conflicts;
  const time = { index: columns.time[0], name: columns.names[columns.time[0]] };
  const rule = (options.guessed ?? NOTHING).has("time") ? "guessed" : "given";
  const position = output.position();
  // A sample that stood there already is none of this log's, wherever it is read on from.
  if (position !== null && stored.duplicates + stored.conflicts === 0) options.onPosition?.(position);
  for (const line of stored.conflictLines) rejects.add("series.conflict", line, time, "", rule);
  // Counts stay exact where the sink kept fewer lines than it counted.
  if (stored.conflicts > stored.conflictLines.length) {
    rejects.codes["series.conflict"] =
      (rejects.codes["series.conflict"] ?? 0) + stored.conflicts - stored.conflictLines.length;
  }
  const solarBelowZero = taker.solarBelowZero + output.solarBelowZero();
  if (solarBelowZero > 0) {
    output.notes.push({ code: "solar-below-zero", figures: { cells: solarBelowZero } });
  }
  for (const figures of output.coarse()) output.notes.push({ code: "series.counter-coarse", figures });
  return {
    refused: false,
    name: source.name,
    counts,
    codes: rejects.codes,
    rejects: rejects.instances.sort((a, b) => a.line - b.line),
    notes: output.notes,
    firstMs: output.firstMs,
    lastMs: output.lastMs,
    nominalMs: output.nominalMs,
    shape: reading.shape,
  };
}

function refused(name: string, problem: Refusal): LogVerdict {
  return { refused: true, name, problem };
}

function emptyLog(name: string): Refusal {
  return {
    code: "file.empty",
    what: "The log has a header and no record under it.",
    where: name,
    hint: ERROR_CATALOGUE["file.empty"].hint,
  };
}

/**
 * The refusal of a log of which every row was rejected, null for any other. Taken as it is it would only stand in
 * the way of the same log with a better map.
 */
function nothingTaken({ source, rejects }: Reading, { counts }: RowTaker): Refusal | null {
  if (counts.taken + counts.duplicates + counts.conflicts > 0) return null;
  if (counts.rejected === 0) return emptyLog(source.name);
  const first = rejects.instances.find(({ code }) => ERROR_CATALOGUE[code].severity === "rejected");
  const reasons = (Object.entries(rejects.codes) as [ErrorCode, number][])
    .filter(([code]) => ERROR_CATALOGUE[code].severity === "rejected")
    .map(([code, n]) => `${n} ${code} (${ERROR_CATALOGUE[code].title.toLowerCase()})`);
  const column = first?.columnName == null ? "" : `, column "${first.columnName}"`;
  const place = first && `, first on line ${first.line}${column}: "${first.text.slice(0, 80)}"`;
  return {
    code: "file.nothing-taken",
    what: `None of the ${counts.records} rows could be taken: ${reasons.join(", ")}.`,
    where: `${source.name}${place ?? ""}`,
    hint: ERROR_CATALOGUE[first?.code ?? "file.nothing-taken"].hint,
  };
}

function tooLarge(source: LogSource): Refusal {
  return {
    code: "file.too-large",
    what: `The file has ${source.sizeBytes} bytes; one import takes ${MAX_LOG_BYTES}.`,
    where: source.name,
    hint: ERROR_CATALOGUE["file.too-large"].hint,
  };
}
