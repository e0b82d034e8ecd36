import type { SniffState } from "./sniff-state";

/** Stage: says how the head was cut into rows, as `readHead` settled it; asks about what it left open. */
export function tellText(state: SniffState): void {
  const { given, head } = state;
  const { encoding, dialect, header, headerLine } = head;
  const text = given.text ?? {};
  const from = (choice: keyof typeof text) => (text[choice] === undefined ? "guessed" : "given");
  state.tell("encoding", encoding.encoding, encoding.confidence, encoding.figures, from("encoding"));
  const shown = { ",": "comma", ";": "semicolon", "\t": "tab", "|": "bar" }[dialect.delimiter];
  state.tell("delimiter", shown, dialect.delimiterConfidence, dialect.figures, from("delimiter"));
  const mark = dialect.decimalMark === "," ? "comma" : "point";
  state.tell("decimal mark", mark, dialect.decimalConfidence, dialect.decimalFigures, from("decimalMark"));
  state.tell(
    "header",
    headerLine === 0 ? "none" : `line ${headerLine}`,
    header.confidence,
    {
      columns: header.names.length,
      linesAbove: head.preamble.length,
      ...(header.unitRow < 0 ? {} : { units: "in the row below" }),
      ...(header.groupRow < 0 ? {} : { groups: "in the row above" }),
    },
    from("headerLine"),
  );
  if (dialect.decimalOpen) {
    state.question(
      "text.decimalMark",
      "The log's numbers don't show whether a point or a comma stands before decimals: 1.234 could be about 1 or over 1000.",
      [".", ","],
    );
  }
  if (given.text !== undefined) state.draft.text = given.text;
}
