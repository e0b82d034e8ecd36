import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runLegroom } from "../../run-legroom";
import { zipArchive } from "../ingest/zip-archive";

// The real command on archives and folders: the same figures as the logs by themselves.

const T0 = Date.UTC(2026, 4, 1, 6);
const csv = (from: number, n = 300) =>
  `time,loadL1W,loadL2W\n${Array.from({ length: n }, (_, i) => `${new Date(T0 + (from + i) * 10_000).toISOString()},${500 + ((from + i) % 90)},300`).join("\n")}\n`;

let folder: string;
let site: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "legroom archives "));
  site = join(folder, "site.json");
  writeFileSync(
    site,
    JSON.stringify({
      version: 1,
      name: "Pottery",
      timezone: "America/Denver",
      ratings: [{ from: "2026-01-01", legLimitW: 4000 }],
    }),
  );
  mkdirSync(join(folder, "months", "deeper"), { recursive: true });
  writeFileSync(join(folder, "1.csv"), csv(0));
  writeFileSync(join(folder, "2.csv"), csv(300));
  writeFileSync(join(folder, "months", "a.csv"), csv(0));
  writeFileSync(join(folder, "months", "b.data"), gzipSync(csv(300)));
  writeFileSync(join(folder, "months", ".hidden"), "x");
  writeFileSync(
    join(folder, "both.zip"),
    zipArchive([
      { name: "2.csv", text: csv(300) },
      { name: "1.csv", text: csv(0) },
    ]),
  );
  writeFileSync(join(folder, "empty.zip"), zipArchive([]));
});
afterAll(() => rmSync(folder, { recursive: true }));

const review = (...words: string[]) => runLegroom(["review", ...words, "--site", site, "--json"]);

describe("review of archives and folders", () => {
  it("finds in a zip archive and in a folder what it finds in the logs by themselves", async () => {
    const plain = await review(join(folder, "1.csv"), join(folder, "2.csv"));
    expect(plain.code, plain.err).toBe(0);
    const expected = JSON.parse(plain.out);
    const names = { zip: ["both.zip/1.csv", "both.zip/2.csv"], folder: ["a.csv", "b.data"] };
    const zip = await review(join(folder, "both.zip"));
    const whole = await review(join(folder, "months"));
    for (const [run, files] of [
      [zip, names.zip],
      [whole, names.folder],
    ] as const) {
      expect(run.code, run.err).toBe(0);
      const found = JSON.parse(run.out);
      expect(found.log.files.map((file: { name: string }) => file.name)).toEqual(files);
      expect({ ...found, log: null, notes: null }).toEqual({ ...expected, log: null, notes: null });
    }
    expect(whole.err).toMatch(/\.hidden: left out/);
    expect(whole.err).toMatch(/deeper: left out/);
  });

  it("says what is wrong with an archive", async () => {
    const empty = await review(join(folder, "empty.zip"));
    expect(empty).toMatchObject({ code: 1, out: "" });
    expect(empty.err).toMatch(/The archive holds no file\. \(file\.empty\)/);
  });
});
