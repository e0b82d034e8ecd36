import { type Note, noteOf } from "../analysis/note";
import type { ChosenMap } from "../ingest/choose-map";
import { furtherPieces } from "../ingest/further-pieces";
import type { LogSource } from "../ingest/log-source";
import { SNIFF_BYTES, type SniffEvidence, type SniffedLog, sniffLog } from "../ingest/sniff-log";
import type { ColumnMap } from "../site/column-map";
import type { ColumnMapInput } from "../site/column-map-schema";
import { parseColumnMap } from "../site/parse-column-map";
import { CommandError } from "./command-error";
import { readJsonFile } from "./read-json-file";

/** A log with the map it is read by, and where that came from. */
export type MapLogResult = {
  source: LogSource;
  map: ColumnMap;
  /** "time" and the channels that were inferred. */
  guessed: ReadonlySet<string>;
  evidence: readonly SniffEvidence[];
  /** What was taken on weak evidence: said with the results. */
  notes: Note[];
};

/** How a log is read for which no columns.json was given: by inference alone without it. */
export type ChooseMap = (log: {
  name: string;
  head: Uint8Array;
  receivedAtMs: number;
  further: readonly Uint8Array[];
  sizeBytes: number | null;
}) => Promise<ChosenMap>;

/** Below this a guess is said with the results. */
const SAID_BELOW = 0.7;

/**
 * Settles how a log is read: by the column map given, the rest inferred, nothing with `strict`.
 *
 * @throws CommandError where the map is refused, or where something must be settled: then it says what, and
 * which line of columns.json settles it
 */
export async function mapLog(
  source: LogSource,
  columnsPath: string | undefined,
  options: { strict: boolean; choose?: ChooseMap },
): Promise<MapLogResult> {
  const { sniffed, recognition } = await chooseFor(source, columnsPath, options);
  const { map, ask, evidence, guessed, refusal, draft } = sniffed;
  if (refusal !== null) {
    throw new CommandError(1, `${refusal.what} (${refusal.code})`, [`Where: ${refusal.where}`, refusal.hint]);
  }
  if (map === null) {
    throw new CommandError(
      1,
      `${source.name}: the log doesn't say everything; settle this in a columns.json:`,
      [
        ...ask.map(
          ({ choice, why, options: values }) =>
            `${choice}: ${why}${values.length === 0 ? "" : ` One of: ${values.join(", ")}.`}`,
        ),
        ...(recognition?.kind === "changed" && recognition.gone.length > 0
          ? [
              `The map of "${recognition.logName}" takes what is gone. Say how this log is read with --columns columns.json, or take it without that with --accept-shape.`,
            ]
          : []),
        `So far: ${JSON.stringify(draft)}`,
      ],
    );
  }
  const notes = evidence
    .filter(({ from, confidence }) => from === "guessed" && confidence < SAID_BELOW)
    .map(({ choice, value, confidence }) =>
      noteOf("guessed", { log: source.name, choice, value, confidence }),
    );
  return { source, map, guessed, evidence, notes };
}

async function chooseFor(
  source: LogSource,
  columnsPath: string | undefined,
  { strict, choose }: { strict: boolean; choose?: ChooseMap },
): Promise<ChosenMap> {
  if (columnsPath === undefined && !strict && choose !== undefined) {
    const head = await headOf(source);
    return choose({ name: source.name, head, ...(await moreOf(source, head)) });
  }
  return { sniffed: await sniffFile(source, columnsPath, strict), recognition: null };
}

/** What the head of a log says about how to read it. */
export async function sniffFile(
  source: LogSource,
  columnsPath: string | undefined,
  strict: boolean,
): Promise<SniffedLog> {
  const given = columnsPath === undefined ? null : await readColumnMapFile(columnsPath);
  const head = await headOf(source);
  return sniffLog(head, given, { name: source.name, strict, ...(await moreOf(source, head)) });
}

/** What beside its head shows on which days a log is. */
async function moreOf(source: LogSource, head: Uint8Array) {
  return {
    receivedAtMs: Date.now(),
    ...(await furtherPieces(source, head.byteLength)),
  };
}

async function headOf(source: LogSource): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of source.open()) {
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= SNIFF_BYTES) break;
  }
  return Buffer.concat(parts).subarray(0, SNIFF_BYTES);
}

async function readColumnMapFile(path: string): Promise<ColumnMapInput> {
  const parsed = parseColumnMap(await readJsonFile(path, "columns.json"));
  if (parsed.ok) return parsed.map;
  throw new CommandError(
    1,
    `The column map in ${path} is refused.`,
    parsed.problems.map((problem) => `${problem.message} ${problem.hint}`),
  );
}
