/** One column of a table: what the screen shows and what the file carries. */
export type Column<Row> = {
  title: string;
  /** Unit of the figures in the file; it stands in the file's header. */
  unit?: string;
  /** The cells are bare figures: the unit stands in the screen's heading too. */
  unitShown?: boolean;
  /** The file's heading, where it isn't the title with its unit. */
  inFile?: string;
  /** Right-aligned with tabular figures. */
  numeric?: boolean;
  /** Breaks its lines where the table is narrow; others keep to one line and the table scrolls. */
  wraps?: boolean;
  /** What the screen shows, unit included. */
  text: (row: Row) => string;
  /** What the file carries: not rounded, in base units; null where not known. */
  value: (row: Row) => string | number | null;
  /** Where the cell leads to, if anywhere. */
  href?: (row: Row) => string | null;
};

/** The table behind a picture: drawn on the page and downloaded as CSV from the same rows. */
export type Table<Row> = {
  /** Name of the file, without its ending. */
  name: string;
  caption: string;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
};
