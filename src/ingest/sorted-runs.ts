import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createSampleColumns, type SampleColumns } from "./sample-columns";
import type { LogShape } from "./sample-sink";

/** Sorts samples by time, stable by the order they were added in, with bounded memory. */
export type SortedRuns = {
  /** Adds the samples that stand in the columns. */
  add(from: SampleColumns): void;
  /**
   * Gives the samples in order into the columns, as many as fit below `limit`; false when there are no more.
   * The first call ends the adding.
   */
  fill(into: SampleColumns, limit: number): boolean;
  /** Removes what was written to disk. Must be called whatever happens. */
  close(): void;
};

/** Samples held in memory before a run is written: about 14 MB at 13 channels. */
const RUN_SAMPLES = 131_072;

const READ_BYTES = 128 * 1024;

/**
 * External merge sort: runs of RUN_SAMPLES are sorted in memory and written to one temporary file as records
 * of fixed width, then merged. Nothing is written where one run is enough.
 */
export function createSortedRuns(
  shape: LogShape,
  dir = tmpdir(),
  runSamples = RUN_SAMPLES,
  energyColumns = 0,
): SortedRuns {
  const m = shape.channels.length;
  const energiesAt = 16 + 4 * m;
  const recordBytes = energiesAt + 8 * energyColumns;
  const memory = createSampleColumns(shape, runSamples, energyColumns);
  const runs: Run[] = [];
  let fd = -1;
  let path: string | null = null;
  let written = 0;
  let heap: Run[] | null = null;

  function add(from: SampleColumns): void {
    for (let i = 0; i < from.n; i++) {
      if (memory.n === runSamples) spill();
      const n = memory.n++;
      memory.timesMs[n] = from.timesMs[i];
      memory.lines[n] = from.lines[i];
      memory.sources[n] = from.sources[i];
      memory.faults[n] = from.faults[i];
      for (let k = 0; k < m; k++) memory.values[k][n] = from.values[k][i];
      for (let e = 0; e < energyColumns; e++) memory.energies[e][n] = from.energies[e][i];
    }
  }

  function sortedOrder(): Uint32Array {
    const order = new Uint32Array(memory.n);
    for (let i = 0; i < order.length; i++) order[i] = i;
    const { timesMs } = memory;
    return order.sort((a, b) => timesMs[a] - timesMs[b] || a - b);
  }

  function spill(): void {
    try {
      writeRun();
    } catch (error) {
      throw spillError(error, dir);
    }
  }

  function writeRun(): void {
    if (fd === -1) {
      path = mkdtempSync(join(dir, "legroom-sort-"));
      fd = openSync(join(path, "runs"), "wx+", 0o600);
      // Where the system allows it the file goes now: then not even a kill leaves it behind.
      if (process.platform !== "win32") {
        rmSync(path, { recursive: true, force: true });
        path = null;
      }
    }
    const order = sortedOrder();
    const buffer = Buffer.allocUnsafe(Math.floor(READ_BYTES / recordBytes) * recordBytes);
    const from = written;
    let at = 0;
    for (let i = 0; i < order.length; i++) {
      if (at === buffer.length) at = flush(buffer, at);
      at = write(buffer, at, order[i]);
    }
    flush(buffer, at);
    runs.push({
      from,
      until: written,
      buffer: Buffer.alloc(0),
      at: 0,
      timeMs: 0,
      number: runs.length,
      order: null,
    });
    memory.n = 0;
  }

  function flush(buffer: Buffer, length: number): number {
    let done = 0;
    while (done < length) done += writeSync(fd, buffer, done, length - done, written + done);
    written += length;
    return 0;
  }

  function write(buffer: Buffer, start: number, i: number): number {
    let at = buffer.writeDoubleLE(memory.timesMs[i], start);
    at = buffer.writeUInt32LE(memory.lines[i], at);
    at = buffer.writeUInt16LE(memory.faults[i], at);
    at = buffer.writeUInt16LE(memory.sources[i], at);
    for (let k = 0; k < m; k++) at = buffer.writeFloatLE(memory.values[k][i], at);
    for (let e = 0; e < energyColumns; e++) at = buffer.writeDoubleLE(memory.energies[e][i], at);
    return start + recordBytes;
  }

  function startMerge(): Run[] {
    if (memory.n > 0) {
      runs.push({
        from: 0,
        until: memory.n,
        buffer: Buffer.alloc(0),
        at: -1,
        timeMs: 0,
        number: runs.length,
        order: sortedOrder(),
      });
    }
    const started: Run[] = [];
    for (const run of runs) {
      if (next(run)) {
        started.push(run);
        siftUp(started, started.length - 1);
      }
    }
    return started;
  }

  /** Moves a run on to its next record. */
  function next(run: Run): boolean {
    run.at += run.order === null ? (run.buffer.length === 0 ? 0 : recordBytes) : 1;
    if (run.order !== null) {
      if (run.at >= run.until) return false;
      run.timeMs = memory.timesMs[run.order[run.at]];
      return true;
    }
    if (run.at >= run.buffer.length) {
      if (run.from >= run.until) return false;
      const most = Math.min(Math.floor(READ_BYTES / recordBytes) * recordBytes, run.until - run.from);
      if (run.buffer.length !== most) run.buffer = Buffer.allocUnsafe(most);
      let done = 0;
      while (done < most) {
        const got = readSync(fd, run.buffer, done, most - done, run.from + done);
        if (got === 0) throw new Error("the temporary file of the sort ended too early");
        done += got;
      }
      run.from += most;
      run.at = 0;
    }
    run.timeMs = run.buffer.readDoubleLE(run.at);
    return true;
  }

  function fill(into: SampleColumns, limit: number): boolean {
    heap ??= startMerge();
    while (heap.length > 0 && into.n < limit) {
      const run = heap[0];
      copy(run, into);
      if (!next(run)) {
        const last = heap.pop() as Run;
        if (heap.length > 0) heap[0] = last;
      }
      siftDown(heap);
    }
    return heap.length > 0;
  }

  function copy(run: Run, into: SampleColumns): void {
    const n = into.n++;
    into.timesMs[n] = run.timeMs;
    if (run.order !== null) {
      const i = run.order[run.at];
      into.lines[n] = memory.lines[i];
      into.faults[n] = memory.faults[i];
      into.sources[n] = memory.sources[i];
      for (let k = 0; k < m; k++) into.values[k][n] = memory.values[k][i];
      for (let e = 0; e < energyColumns; e++) into.energies[e][n] = memory.energies[e][i];
      return;
    }
    into.lines[n] = run.buffer.readUInt32LE(run.at + 8);
    into.faults[n] = run.buffer.readUInt16LE(run.at + 12);
    into.sources[n] = run.buffer.readUInt16LE(run.at + 14);
    for (let k = 0; k < m; k++) into.values[k][n] = run.buffer.readFloatLE(run.at + 16 + 4 * k);
    for (let e = 0; e < energyColumns; e++) {
      into.energies[e][n] = run.buffer.readDoubleLE(run.at + energiesAt + 8 * e);
    }
  }

  return {
    add,
    fill,
    close() {
      if (fd !== -1) closeSync(fd);
      fd = -1;
      if (path !== null) rmSync(path, { recursive: true, force: true });
      path = null;
    },
  };
}

type Run = {
  /** Bytes of the file still to be read; for the run in memory: samples. */
  from: number;
  readonly until: number;
  buffer: Buffer;
  at: number;
  timeMs: number;
  readonly number: number;
  readonly order: Uint32Array | null;
};

function before(a: Run, b: Run): boolean {
  return a.timeMs < b.timeMs || (a.timeMs === b.timeMs && a.number < b.number);
}

function siftUp(heap: Run[], from: number): void {
  let i = from;
  while (i > 0) {
    const parent = (i - 1) >> 1;
    if (!before(heap[i], heap[parent])) return;
    [heap[i], heap[parent]] = [heap[parent], heap[i]];
    i = parent;
  }
}

function siftDown(heap: Run[]): void {
  let i = 0;
  for (;;) {
    const left = 2 * i + 1;
    if (left >= heap.length) return;
    const right = left + 1;
    const least = right < heap.length && before(heap[right], heap[left]) ? right : left;
    if (!before(heap[least], heap[i])) return;
    [heap[i], heap[least]] = [heap[least], heap[i]];
    i = least;
  }
}

/** What the system refused in the folder for temporary files, as a sentence; its code stays. */
function spillError(error: unknown, dir: string): unknown {
  const { code } = error as NodeJS.ErrnoException;
  const reason = SPILL_REASONS[code ?? ""];
  if (reason === undefined) return error;
  const message =
    `The rows of this log are not in order, and to sort them it takes room in the temporary folder ${dir}, ` +
    `but ${reason}. Nothing of the log was taken. Make room there, or name another folder in TMPDIR.`;
  return Object.assign(new Error(message, { cause: error }), { code });
}

const SPILL_REASONS: { readonly [code: string]: string } = {
  ENOSPC: "its disk is full",
  EDQUOT: "this user's quota there is used up",
  ENOENT: "there is no such folder",
  ENOTDIR: "that is no folder",
  EACCES: "this user may not write there",
  EPERM: "this user may not write there",
  EROFS: "its disk can't be written",
};
