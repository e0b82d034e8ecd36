import type { SniffState } from "./sniff-state";

/** Stage: says how the head was cut into rows, as `readHead` settled it. */
export function tellText(state: SniffState): void {
  const { encoding, encodingMarked, dialect, header, headerLine } = state.head;
  state.tell("encoding", encoding, encodingMarked ? 1 : 0.95, {});
  const shown = { ",": "comma", ";": "semicolon", "\t": "tab", "|": "bar" }[dialect.delimiter];
  state.tell("delimiter", shown, dialect.delimiterConfidence, dialect.figures);
  state.tell("decimal mark", dialect.decimalMark === "," ? "comma" : "point", dialect.decimalConfidence, {});
  state.tell("header", headerLine === 0 ? "none" : `line ${headerLine}`, header.confidence, {
    columns: header.names.length,
  });
}
