import type { LocalClock } from "./local-clock";
import type { RowBatch } from "./log-sampler";
import type { LogChannel, Scenario } from "./parse-scenario";
import { randomStream } from "./random-stream";

/** Turns batches of rows into the text of a log, in the scenario's dialect and with its defects. */
export type LogWriter = {
  header(): string;
  /** Text of a batch, and how many lines of data it has. */
  text(batch: RowBatch, faultCodes: readonly string[]): string;
  /** What the end of the file still needs: a cut-off row where the scenario wants one. */
  end(): string;
  /** The columns.json that describes this log, complete. */
  columnsJson(): object;
};

type Defect = Scenario["log"]["defects"][number]["do"];

const UNIT_OF: Record<LogChannel, "W" | "V" | "A" | "%" | "C"> = {
  loadL1W: "W",
  loadL2W: "W",
  loadL1V: "V",
  loadL2V: "V",
  solarW: "W",
  batteryA: "A",
  batteryV: "V",
  batterySocPct: "%",
  gridW: "W",
  inverterTempC: "C",
};

/** The writer of a scenario's log. */
export function createLogWriter(scenario: Scenario, clock: LocalClock): LogWriter {
  const { log, seed } = scenario;
  const { delimiter, decimalMark } = log;
  const headers = stampHeaders();
  const cells: ((batch: RowBatch, row: number, faultCodes: readonly string[]) => string)[] = [];
  for (const [channel, column] of Object.entries(log.columns)) {
    headers.push(column.header);
    cells.push(cellOf(channel as keyof Scenario["log"]["columns"], column));
  }
  const stampCells = headers.length - cells.length;
  const stampOf = stampText(log, clock);
  const damage = randomStream(seed, "damage");
  const badTimes = log.badTimes.map(({ from, minutes, garbled, missing }) => {
    const fromS = clock.instantS(from);
    return { fromS, toS: fromS + minutes * 60, garbled, missing };
  });
  const defects = new Map<number, Defect[]>();
  for (const { row, do: defect } of log.defects) defects.set(row, [...(defects.get(row) ?? []), defect]);
  const headerLine = headers.map(quoted).join(delimiter);
  let row = 0;
  let lastLine = "";

  return {
    header: () => `${headerLine}\n`,
    text(batch, faultCodes) {
      let text = "";
      for (let i = 0; i < batch.rows; i++) {
        row++;
        const atS = batch.timesS[i];
        let line = stampOf(atS);
        const bad = badTimes.find(({ fromS, toS }) => atS >= fromS && atS < toS);
        for (const cell of cells) {
          const value = cell(batch, i, faultCodes);
          line += delimiter + (bad === undefined ? value : damaged(value, bad.garbled, bad.missing));
        }
        const here = defects.get(row);
        if (here !== undefined) for (const defect of here) line = withDefect(line, defect);
        text += `${line}\n`;
        lastLine = line;
      }
      return text;
    },
    end: () => (log.endsInsideRow ? lastLine.slice(0, Math.floor(lastLine.length * 0.6)) : ""),
    columnsJson,
  };

  function damaged(value: string, garbled: number, missing: number): string {
    const draw = damage();
    if (draw < missing) return "";
    if (draw >= missing + garbled) return value;
    const at = Math.floor(damage() * value.length);
    return `${value.slice(0, at)}${GARBAGE[Math.floor(damage() * GARBAGE.length)]}${value.slice(at + 1)}`;
  }

  /** A row as the defect leaves it; a defect that adds a line puts it before the row or after it. */
  function withDefect(line: string, defect: Defect): string {
    const parts = line.split(delimiter);
    const first = stampCells;
    switch (defect) {
      case "missing-fields":
        return parts.slice(0, Math.max(1, parts.length - 3)).join(delimiter);
      case "extra-field":
        return line + delimiter + (parts.at(-1) ?? "");
      case "word-in-cell":
        return replaced(parts, first, "n.a. (meter)");
      case "stamp-1970":
        return replaced(parts, 0, restamped(parts[0], "1970"));
      case "stamp-2190":
        return replaced(parts, 0, restamped(parts[0], "2190"));
      case "stamp-garbled":
        return replaced(parts, 0, `${parts[0].slice(0, 7)}?${parts[0].slice(9)}`);
      case "duplicate":
        return `${line}\n${line}`;
      case "conflict":
        return `${line}\n${replaced(parts, first, String(1 + Math.abs(Number.parseInt(parts[first], 10) || 0)))}`;
      case "blank-line":
        return `\n${line}`;
      case "repeated-header":
        return `${headerLine}\n${line}`;
      case "unit-row": {
        const units = Object.entries(log.columns).map(
          ([channel, { unit }]) => unit ?? UNIT_OF[channel as LogChannel] ?? "",
        );
        return `${[...new Array(stampCells).fill(""), ...units].join(delimiter)}\n${line}`;
      }
      case "out-of-range":
        return replaced(parts, first, "9999999");
      case "unknown-word": {
        const at = Object.keys(log.columns).indexOf("source");
        return at < 0 ? line : replaced(parts, stampCells + at, "standby?");
      }
      case "empty-cells":
        return [...parts.slice(0, stampCells), ...parts.slice(stampCells).map(() => "")].join(delimiter);
    }
  }

  function replaced(parts: string[], at: number, text: string): string {
    return parts.map((part, i) => (i === at ? text : part)).join(delimiter);
  }

  function stampHeaders(): string[] {
    return Array.isArray(log.stampHeader) ? [...log.stampHeader] : [log.stampHeader];
  }

  function quoted(header: string): string {
    return header.includes(delimiter) || header.includes('"') ? `"${header.replaceAll('"', '""')}"` : header;
  }

  function cellOf(channel: string, column: NonNullable<Scenario["log"]["columns"]["loadL1W"]>) {
    if (channel === "source") {
      const { inverter, utility } = column.words ?? { inverter: "inverter", utility: "utility" };
      return (batch: RowBatch, i: number) => (batch.sources[i] === 2 ? utility : inverter);
    }
    if (channel === "faultCode") {
      const none = column.noFault ?? "0";
      return (batch: RowBatch, i: number, faultCodes: readonly string[]) =>
        batch.faults[i] === 0 ? none : faultCodes[batch.faults[i] - 1];
    }
    const flip = column.positive === "charge" || column.positive === "export" ? -1 : 1;
    const factor = flip * (column.unit === "kW" ? 0.001 : column.unit === "F" ? 1.8 : 1);
    const offset = column.unit === "F" ? 32 : 0;
    const power = 10 ** column.decimals;
    const key = channel as LogChannel;
    return (batch: RowBatch, i: number) => {
      const rounded = Math.round((batch.values[key][i] * factor + offset) * power) / power;
      // Adding 0 turns −0 into 0.
      const text = String(rounded + 0);
      return decimalMark === "," ? text.replace(".", ",") : text;
    };
  }

  function columnsJson() {
    const channels: Record<string, object> = {};
    for (const [channel, column] of Object.entries(log.columns)) {
      if (channel === "source") {
        const words = column.words ?? { inverter: "inverter", utility: "utility" };
        channels[channel] = {
          column: column.header,
          words: { [words.inverter]: "inverter", [words.utility]: "utility" },
        };
      } else if (channel === "faultCode") {
        channels[channel] = { column: column.header, noFault: ["", column.noFault ?? "0"] };
      } else {
        channels[channel] = {
          column: column.header,
          unit: column.unit ?? UNIT_OF[channel as LogChannel],
          ...(column.positive === undefined ? {} : { positive: column.positive }),
        };
      }
    }
    return {
      version: 1,
      time: { column: log.stampHeader, ...timeOf(log), stamps: log.stamps },
      channels,
      missing: [""],
    };
  }
}

const GARBAGE = ["#", "?", "\u00b7", "x", "/", "**"] as const;

function restamped(stamp: string, year: string): string {
  return /\d{4}/.test(stamp) ? stamp.replace(/\d{4}/, year) : year;
}

function timeOf(log: Scenario["log"]): { format: string; zone: string } {
  switch (log.stamp) {
    case "epoch-s":
    case "epoch-ms":
      return { format: log.stamp, zone: "UTC" };
    case "iso-utc":
      return { format: "auto", zone: "UTC" };
    case "iso-offset":
      return { format: "auto", zone: "site" };
    case "wall":
      return { format: log.pattern.replace("|", " "), zone: "site" };
  }
}

/** Text of a stamp; wall time split in two has the delimiter in the middle. */
function stampText(log: Scenario["log"], clock: LocalClock): (atS: number) => string {
  const move = log.stamps === "end" ? log.intervalS : 0;
  const two = (n: number) => (n < 10 ? `0${n}` : String(n));
  let dayKey = Number.NaN;
  let parts = { yyyy: "", MM: "", dd: "" };
  const dateParts = (localS: number) => {
    const key = Math.floor(localS / 86_400);
    if (key !== dayKey) {
      dayKey = key;
      const iso = new Date(key * 86_400_000).toISOString();
      parts = { yyyy: iso.slice(0, 4), MM: iso.slice(5, 7), dd: iso.slice(8, 10) };
    }
    return parts;
  };
  const clockParts = (localS: number) => {
    const ofDay = ((localS % 86_400) + 86_400) % 86_400;
    return { HH: two(Math.floor(ofDay / 3600)), mm: two(Math.floor(ofDay / 60) % 60), ss: two(ofDay % 60) };
  };
  const iso = (localS: number) => {
    const { yyyy, MM, dd } = dateParts(localS);
    const { HH, mm, ss } = clockParts(localS);
    return `${yyyy}-${MM}-${dd}T${HH}:${mm}:${ss}`;
  };
  switch (log.stamp) {
    case "epoch-s":
      return (atS) => String(atS + move);
    case "epoch-ms":
      return (atS) => `${atS + move}000`;
    case "iso-utc":
      return (atS) => `${iso(atS + move)}Z`;
    case "iso-offset":
      return (atS) => {
        const offsetS = clock.offsetS(atS + move);
        const size = Math.abs(offsetS);
        const sign = offsetS < 0 ? "-" : "+";
        return `${iso(atS + move + offsetS)}${sign}${two(Math.floor(size / 3600))}:${two(Math.floor(size / 60) % 60)}`;
      };
    case "wall":
      return (atS) => {
        const localS = atS + move + clock.offsetS(atS + move);
        const fields: Record<string, string> = { ...dateParts(localS), ...clockParts(localS) };
        return log.pattern.replaceAll(/yyyy|MM|dd|HH|mm|ss|\|/g, (token) => fields[token] ?? log.delimiter);
      };
  }
}
