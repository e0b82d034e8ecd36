import { notFound } from "next/navigation";
import { type PersonNote, personNotesOf } from "../../db/queries/person-notes-of";
import { type SampleStretch, samplesBetween } from "../../db/queries/samples-between";
import { type TransferWithNeighbours, transferAt } from "../../db/queries/transfer-at";
import { parseTransferId } from "../_format/transfer-id";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

/** Minutes on each side of the transfer that the picture can show. The first is what it shows unasked. */
export const AROUND_MINUTES = [10, 3, 1] as const;

/** Samples of twenty minutes at ten a second: more than any log has that this is made for. */
const MAX_SAMPLES = 12_000;

export type TransferPage = SitePage &
  TransferWithNeighbours & {
    fromMs: number;
    toMs: number;
    /** Null where the site has no samples there any more. */
    stretch: SampleStretch | null;
    /** What a person wrote about it. */
    notes: PersonNote[];
  };

/** One transfer with the samples around it, or the page that says there is none. */
export async function transferPage(
  slug: string,
  id: string,
  minutes: number = AROUND_MINUTES[0],
): Promise<TransferPage> {
  const atMs = parseTransferId(decodeURIComponent(id));
  if (atMs === null) notFound();
  const page = await sitePage(slug);
  const { siteId } = page.site;
  const found = await read((database) => transferAt(database, siteId, atMs));
  if (found === null) notFound();
  const [fromMs, toMs] = [atMs - minutes * 60_000, atMs + minutes * 60_000];
  const stretch = await read((database) => samplesBetween(database, siteId, fromMs, toMs, MAX_SAMPLES));
  const there = { fromDate: "", toDate: "", fromMs: atMs, toMs: atMs + 1 };
  const notes = await read((database) => personNotesOf(database, page.site, there));
  const own = notes.filter(({ kind }) => kind === "transfer");
  return { ...page, ...found, fromMs, toMs, stretch, notes: own };
}
