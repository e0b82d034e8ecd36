import { rename, rm, stat } from "node:fs/promises";
import { resolve } from "node:path";
import { neighbourMonth } from "../../../db/queries/local-month";
import { monthPeriod } from "../../../db/queries/local-period";
import { type MonthResults, monthResults } from "../../../db/queries/month-results";
import { personNotesOf } from "../../../db/queries/person-notes-of";
import { clockOf } from "../../report/format";
import { monthText } from "../../report/month-text";
import type { Command, CommandInput } from "../command";
import { CommandError } from "../command-error";
import { findBrowser } from "../find-browser";
import { findSite } from "../find-site";
import { printPage } from "../print-page";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { withWebServer } from "../with-web-server";
import { writeOut } from "../write-out";

const COMMAND = {
  name: "report",
  usage: "legroom report --site NAME --month 2026-05 [--out FILE.pdf [--paper a4|letter]]",
};

const PAPERS = ["a4", "letter"];

/** `report`: a month in words, or on paper. */
export const reportCommand: Command = {
  ...COMMAND,
  summary: "a month in words, or on paper",
  description: `Prints what the Month screen says as text. With --out it writes the month's report as a PDF instead, on A4 or on
Letter paper (a4 unless --paper says otherwise), printed by a headless Chromium: the one on the path, or the one that
LEGROOM_CHROMIUM names. A file that is there already is written over.`,
  maxWords: 0,
  options: {
    site: { type: "string" },
    month: { type: "string" },
    out: { type: "string" },
    paper: { type: "string" },
  },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    const month = requiredText(COMMAND, input, "month");
    if (!/^\d{4}-(0[1-9]|1[0-2])$/.test(month)) {
      throw new CommandError(2, `--month is a month such as 2026-05, got "${month}".`, [COMMAND.usage]);
    }
    const paper = paperOption(input);
    const out = await outOption(input);
    return withDatabase(async (database) => {
      const { siteId, site, slug } = await findSite(database, name);
      const results = await monthResults(database, siteId, month);
      const before = await monthResults(database, siteId, neighbourMonth(month, -1));
      if (results === null) throw new CommandError(1, `There is no site named "${name}".`);
      if (results.revision !== results.samplesRevision) {
        process.stderr.write("The results stand on older samples: newer ones are being computed.\n");
      }
      if (out === null) {
        const period = monthPeriod(site.timezone, month);
        const byPerson = await personNotesOf(database, { siteId, timezone: site.timezone }, period);
        await writeOut(monthText(results, before, month, site, clockOf(site.timezone), byPerson));
        return 0;
      }
      await writePaper(results, { slug, name: site.name, month, paper }, out);
      return 0;
    });
  },
};

function paperOption(input: CommandInput): string {
  const paper = input.text("paper");
  if (paper === undefined) return "a4";
  if (input.text("out") === undefined) {
    throw new CommandError(2, "--paper goes with --out FILE.pdf.", [COMMAND.usage]);
  }
  if (!PAPERS.includes(paper.toLowerCase())) {
    throw new CommandError(2, `--paper is a4 or letter, got "${paper}".`, [COMMAND.usage]);
  }
  return paper.toLowerCase();
}

async function outOption(input: CommandInput): Promise<string | null> {
  const out = input.text("out");
  if (out === undefined) return null;
  if (!/\.pdf$/i.test(out)) {
    throw new CommandError(2, `--out writes a PDF, so its file ends in .pdf; got "${out}".`, [COMMAND.usage]);
  }
  const there = await stat(out).catch(() => null);
  if (there !== null && !there.isFile()) throw new CommandError(1, `${out} is there already, and no file.`);
  const folder = await stat(resolve(out, "..")).catch(() => null);
  if (folder === null || !folder.isDirectory()) {
    throw new CommandError(1, `${out} can't be written: there is no such folder.`);
  }
  return out;
}

/** The report of a month as a PDF: there whole or not at all. */
async function writePaper(
  results: MonthResults,
  { slug, name, month, paper }: { slug: string; name: string; month: string; paper: string },
  out: string,
): Promise<void> {
  if (results.days.length === 0) {
    throw new CommandError(1, `"${name}" has no samples of ${month}: there is nothing to report.`, [
      `"legroom report --site '${name}' --month ${month}" says what is known.`,
    ]);
  }
  const browser = findBrowser();
  if (browser === null) {
    throw new CommandError(1, "A PDF is printed by a Chromium, and none was found.", [
      "Install one (Debian: apt-get install chromium), name one in LEGROOM_CHROMIUM, or print the Report sheet from your browser.",
    ]);
  }
  const part = `${resolve(out)}.${process.pid}.part`;
  try {
    await withWebServer((url) =>
      printPage(browser, `${url}/sites/${encodeURIComponent(slug)}/${month}/report?paper=${paper}`, part),
    );
    await rename(part, out);
  } finally {
    await rm(part, { force: true });
  }
  await writeOut(`${out}: the report of ${month}.\n`);
}
