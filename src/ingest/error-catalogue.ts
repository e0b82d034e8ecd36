/** Level of what went wrong: the file as a whole, its header, a row, a cell, or the order of samples. */
type ErrorLevel = "file" | "header" | "row" | "cell" | "series";

/**
 * `refused`: nothing of the log is taken. `rejected`: the row is not taken. `missing`: the cell's channel is
 * missing in that row. `note`: nothing is lost.
 */
type ErrorSeverity = "refused" | "rejected" | "missing" | "note";

type Entry = {
  readonly level: ErrorLevel;
  readonly severity: ErrorSeverity;
  readonly title: string;
  readonly description: string;
  readonly hint: string;
};

/**
 * Everything that can be wrong with a log, by code: the closed set of files.md. Screens, the command line
 * and the database take titles and hints from here and nowhere else.
 */
export const ERROR_CATALOGUE = {
  "file.empty": {
    level: "file",
    severity: "refused",
    title: "No records",
    description: "The file holds nothing, or a header and no record under it.",
    hint: "Export the log again and check that the chosen period has data.",
  },
  "file.encoding": {
    level: "file",
    severity: "refused",
    title: "Not readable as text",
    description: "The file isn't in the encoding that its byte order mark or the column map says.",
    hint: "Correct text.encoding in columns.json, or save the log as UTF-8 (in a spreadsheet: CSV UTF-8).",
  },
  "file.text-wrong": {
    level: "file",
    severity: "refused",
    title: "Text not as the column map says",
    description:
      "The column map states a delimiter, a decimal mark or a header's line that the log contradicts.",
    hint: "Correct the choice under text in columns.json, or leave it out.",
  },
  "file.not-a-table": {
    level: "file",
    severity: "refused",
    title: "Not a table",
    description: "The file is mostly bytes that no text has, or lines without columns.",
    hint: "Give a CSV file: one line of column names, then one line a sample. A workbook or an archive has to be exported first.",
  },
  "file.too-large": {
    level: "file",
    severity: "refused",
    title: "Too large",
    description: "The file is larger than what one import takes.",
    hint: "Split it by months and import the parts; they join to one history.",
  },
  "file.archive-damaged": {
    level: "file",
    severity: "refused",
    title: "Damaged archive",
    description:
      "The gzip or zip file can't be unpacked: it is damaged, was cut off, or is packed in another way.",
    hint: "Pack it again or copy it again, or give the CSV file itself.",
  },
  "file.archive-encrypted": {
    level: "file",
    severity: "refused",
    title: "Encrypted archive",
    description: "A file in the archive is encrypted.",
    hint: "Unpack it with its password and give the CSV file itself.",
  },
  "file.archive-nested": {
    level: "file",
    severity: "refused",
    title: "Archive in an archive",
    description: "What the archive holds is an archive again. One layer is unpacked.",
    hint: "Unpack the outer one and give what it holds.",
  },
  "file.archive-too-large": {
    level: "file",
    severity: "refused",
    title: "Archive unpacks to too much",
    description:
      "The archive has too many entries, or unpacks to more bytes than one import takes or a log can.",
    hint: "Unpack it, look at what it holds, and give the CSV files themselves.",
  },
  "file.nothing-taken": {
    level: "file",
    severity: "refused",
    title: "No row could be taken",
    description: "The file is a table, and every row of it was rejected.",
    hint: "Mostly the log is read in the wrong way: look at the column map.",
  },
  "header.no-time": {
    level: "header",
    severity: "refused",
    title: "No time column",
    description: "No column holds the time of the samples, or it can't be told how to read it.",
    hint: "Name the column in columns.json under time.column, and its form under time.format.",
  },
  "header.no-column": {
    level: "header",
    severity: "refused",
    title: "Column not in the log",
    description: "The column map names a column that the log's header doesn't have.",
    hint: "Correct the name in columns.json; letter case and spaces at the ends don't matter.",
  },
  "header.column-twice": {
    level: "header",
    severity: "refused",
    title: "One column, two meanings",
    description: "The column map takes two things from the same column.",
    hint: "Correct one of them in columns.json, or leave it out.",
  },
  "header.duplicate-name": {
    level: "header",
    severity: "refused",
    title: "Column name used twice",
    description: "The column map names a column and the header has that name more than once.",
    hint: "Give the columns names of their own in the log, or the column's number in columns.json.",
  },
  "header.unit-unknown": {
    level: "header",
    severity: "refused",
    title: "Unit not known",
    description:
      "A column's unit is none of W kW Wh kWh MWh VA kVA A mA V mV % share C F Hz, or none of those of its channel.",
    hint: "State the unit in columns.json, under the channel.",
  },
  "row.field-count": {
    level: "row",
    severity: "rejected",
    title: "Wrong number of fields",
    description:
      "The row has more or fewer fields than the header, or is longer than 1 MiB. A log that was cut off ends in one.",
    hint: "Look for an unquoted delimiter in a text, or for a row that was cut off.",
  },
  "row.open-quote": {
    level: "row",
    severity: "rejected",
    title: "Quote never closed",
    description: "A field begins with a quotation mark that is not closed within the record.",
    hint: "Close or remove the quotation mark on this line; the rows after it were read.",
  },
  "row.other-header": {
    level: "row",
    severity: "rejected",
    title: "Under another header",
    description:
      "In the middle of the log stands another header or row of units, and the column map's columns can't be found in it.",
    hint: "Cut the log in two at that line and import the parts, each with its own column map.",
  },
  "row.no-channel": {
    level: "row",
    severity: "rejected",
    title: "No value",
    description: "The row's time is good, but none of its channels has a value.",
    hint: "Usually the logger had lost its connection. Nothing to mend unless the values stand in columns that the map doesn't name.",
  },
  "cell.not-a-time": {
    level: "cell",
    severity: "rejected",
    title: "Not a time",
    description: "The time of the row can't be read in the form that the log has.",
    hint: "If the form is another one, state it in columns.json under time.format.",
  },
  "cell.time-out-of-range": {
    level: "cell",
    severity: "rejected",
    title: "Time out of range",
    description:
      "The time lies before the year 2000 or more than a day after the log was received: a clock that was not set.",
    hint: "Set the logger's clock. If the times are right, check time.format and time.zone.",
  },
  "cell.time-not-on-clock": {
    level: "cell",
    severity: "rejected",
    title: "Time skipped by the clock",
    description: "The time lies in the stretch that the clock skips when daylight saving time begins.",
    hint: "The logger's clock does not follow the zone: state the zone or offset that it runs on under time.zone.",
  },
  "cell.time-ambiguous": {
    level: "cell",
    severity: "rejected",
    title: "Time happened twice",
    description:
      "The time lies in the hour that the clock repeats when daylight saving time ends, and neither an offset nor the order of rows says which of the two is meant.",
    hint: "Export the log with offsets or in UTC.",
  },
  "cell.not-a-number": {
    level: "cell",
    severity: "missing",
    title: "Not a number",
    description: "The cell can't be read as a number and is none of the words for a missing value.",
    hint: "If the text stands for a missing value, list it in columns.json under missing.",
  },
  "cell.out-of-range": {
    level: "cell",
    severity: "missing",
    title: "Out of physical range",
    description: "The value, in its channel's unit, is beyond what a 120/240 V site can show.",
    hint: "If many are, the unit is wrong: W for kW, mA for A. State it in columns.json.",
  },
  "cell.unknown-word": {
    level: "cell",
    severity: "missing",
    title: "Word not known",
    description: "The source column holds a word that the column map doesn't translate.",
    hint: 'Add it to columns.json under channels.source.words, as "inverter", "utility", "generator", "none" or "unknown".',
  },
  "cell.counter-reset": {
    level: "cell",
    severity: "missing",
    title: "Counter fell",
    description:
      "An energy counter reads less than before: it was reset, or its meter replaced. No power is taken from that step.",
    hint: "Nothing to mend where the meter was replaced or starts anew each day. If it falls at every other row the column is no counter: state energy in columns.json as interval.",
  },
  "cell.counter-gap": {
    level: "cell",
    severity: "missing",
    title: "Counter over a hole",
    description:
      "An energy counter's next reading comes after more than three intervals. What it counted meanwhile is left out: when it was used isn't known.",
    hint: "Nothing to mend; the hole shows in the coverage.",
  },
  "series.conflict": {
    level: "series",
    severity: "rejected",
    title: "Another sample at the same time",
    description: "The logger has a sample at this time already, with other values. The first one stands.",
    hint: "Check whether two logs of different loggers were imported as one, or whether the clock was set back.",
  },
  "series.counter-coarse": {
    level: "series",
    severity: "note",
    title: "Coarse counter",
    description:
      "One step of an energy counter means much power within one interval: a sample's power is only good as a mean over many.",
    hint: "Have the logger write the counter with more decimals, or the power beside it.",
  },
  "series.sorted": {
    level: "series",
    severity: "note",
    title: "Put in order",
    description: "The rows were not in ascending time and were sorted. Nothing is lost.",
    hint: "Nothing to do.",
  },
} as const satisfies Record<string, Entry>;

/** A code of the catalogue. */
export type ErrorCode = keyof typeof ERROR_CATALOGUE;
