import type { TokenRow } from "../../db/queries/tokens-of";
import { formatInstant } from "../_format/local-time";
import type { Table } from "./table";

/** The tokens that are good for a site. */
export function tokensTable(tokens: readonly TokenRow[], timezone: string): Table<TokenRow> {
  const time = (title: string, of: (token: TokenRow) => number | null, none: string) => ({
    title,
    text: (token: TokenRow) => (of(token) === null ? none : formatInstant(of(token), timezone, false)),
    value: of,
  });
  return {
    name: "tokens",
    caption: "Tokens that are good for this site",
    rows: tokens,
    columns: [
      { title: "Token", text: ({ name }) => name, value: ({ name }) => name },
      {
        title: "May",
        text: ({ scope }) => (scope === "write" ? "send logs and read" : "read only"),
        value: ({ scope }) => scope,
      },
      {
        title: "Good for",
        text: ({ siteName }) => (siteName === null ? "all sites" : "this site"),
        value: ({ siteName }) => siteName,
      },
      time("Made", ({ createdAtMs }) => createdAtMs, "–"),
      time("Last used", ({ lastUsedAtMs }) => lastUsedAtMs, "never"),
      time("Revoked", ({ revokedAtMs }) => revokedAtMs, "–"),
    ],
  };
}
