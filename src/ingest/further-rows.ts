import type { LogHead } from "./read-head";
import { createRecordReader } from "./record-reader";

/**
 * Rows of pieces of a log that lie behind its head, read as the head is. The first and the last line of a piece are
 * left out, since a piece begins and ends anywhere.
 */
export function furtherRows(head: LogHead, pieces: readonly Uint8Array[]): string[][] {
  const { delimiter, newline, columns } = head.dialect;
  const decoder = new TextDecoder(head.encoding.encoding);
  const rows: string[][] = [];
  for (const piece of pieces) {
    const text = decoder.decode(piece);
    const reader = createRecordReader({ delimiter, newline, columns });
    const whole = reader.push(text.slice(text.indexOf(newline) + 1)).rows;
    for (const cells of whole) if (cells.length >= head.header.names.length) rows.push(cells);
  }
  return rows;
}
