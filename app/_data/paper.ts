/** Sizes of paper that a report is made for; without one the browser's own counts. */
export const PAPERS = {
  a4: { name: "A4", css: "A4" },
  letter: { name: "Letter", css: "letter" },
} as const;

export type Paper = keyof typeof PAPERS;

/** The paper of an address's query; null for none and for any other. */
export function paperOf(given: string | string[] | undefined): Paper | null {
  return given === "a4" || given === "letter" ? given : null;
}

/**
 * The style rule of the report's pages: its paper, and under each page what it is of and which one.
 *
 * @param paper Null for the browser's own.
 */
export function pageRule(paper: Paper | null, title: string): string {
  const size = paper === null ? "" : `size: ${PAPERS[paper].css}; `;
  const small = "font-size: 8pt; color: #333;";
  return (
    `@page { ${size}margin: 15mm 14mm 18mm; ` +
    `@bottom-left { content: ${cssString(title)}; ${small} } ` +
    `@bottom-right { content: counter(page) " of " counter(pages); ${small} } }`
  );
}

/** Any text as a string of CSS that nothing in it ends, not even inside of a style element. */
function cssString(text: string): string {
  const escaped = text.replace(/[^\p{L}\p{N} .,:-]/gu, (char) => `\\${char.codePointAt(0)?.toString(16)} `);
  return `"${escaped}"`;
}
