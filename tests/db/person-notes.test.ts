import { afterAll, beforeAll, expect, test } from "vitest";
import { localPeriod, monthPeriod } from "../../db/queries/local-period";
import { personNotesOf } from "../../db/queries/person-notes-of";
import { transfersOf } from "../../db/queries/transfers-of";
import { addPersonNote } from "../../db/writes/add-person-note";
import { addSite } from "../../db/writes/add-site";
import { changePersonNote } from "../../db/writes/change-person-note";
import { changeSite } from "../../db/writes/change-site";
import { importLog } from "../../db/writes/import-log";
import { removePersonNote } from "../../db/writes/remove-person-note";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

/* What a person wrote hangs on instants and days: it outlives results that are computed anew. */

// 1 June begins at 06:00 UTC at the site.
const FROM = Date.UTC(2026, 4, 31, 12);
const SITE = { timezone: SMALL_SITE.timezone };

let database: TestDatabase;
let siteId: number;
let logId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  const outcome = await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: FROM, samples: 8640 })),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
  if (outcome.kind !== "imported") throw new Error("the log was refused");
  logId = outcome.logId;
});
afterAll(() => database.drop());

const plain = (text: string) => ({ text, isChange: false });
const notes = (period?: Parameters<typeof personNotesOf>[2]) =>
  personNotesOf(database, { siteId, ...SITE }, period);

test("notes of a period are those of its days and of its events, in the order of time", async () => {
  const [first, second] = await transfersOf(database, siteId);
  await addPersonNote(database, siteId, { kind: "transfer", atMs: second.atMs }, plain("second"));
  await addPersonNote(database, siteId, { kind: "transfer", atMs: first.atMs }, plain("first"));
  await addPersonNote(database, siteId, { kind: "dropout", atMs: first.atMs + 1 }, plain("no such dropout"));
  await addPersonNote(
    database,
    siteId,
    { kind: "day", date: "2026-05-31" },
    { text: "moved", isChange: true },
  );
  await addPersonNote(database, siteId, { kind: "day", date: "2026-06-01" }, plain("june"));
  expect((await notes()).map(({ text, stands }) => [text, stands])).toEqual([
    ["moved", true],
    ["first", true],
    ["no such dropout", false],
    ["second", true],
    ["june", true],
  ]);
  const may = await notes(monthPeriod(SITE.timezone, "2026-05"));
  expect(may.map(({ text }) => text)).toEqual(["moved", "first", "no such dropout", "second"]);
  expect(may[0]).toMatchObject({
    kind: "day",
    atMs: null,
    date: "2026-05-31",
    isChange: true,
    changedAtMs: null,
  });
  expect(may[1]).toMatchObject({ kind: "transfer", atMs: first.atMs, date: "2026-05-31" });
  const june = await notes(localPeriod(SITE.timezone, "2026-06-01", "2026-06-02"));
  expect(june.map(({ text }) => text)).toEqual(["june"]);
});

test("a note outlives its event, says so, and is that event's again when it comes back", async () => {
  const before = await notes();
  await withdrawLog(database, siteId, logId);
  await runDueJobs(database, { siteId });
  expect(await transfersOf(database, siteId)).toEqual([]);
  expect(await notes()).toEqual(before.map((note) => ({ ...note, stands: note.kind === "day" })));
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: FROM, samples: 8640 }), "again.csv"),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 2),
  });
  await changeSite(database, siteId, { ...SMALL_SITE, ratings: [{ from: "2026-01-01", legLimitW: 3500 }] });
  await runDueJobs(database, { siteId });
  expect(await notes()).toEqual(before);
});

test("a note is changed and removed; the moment of its writing stays", async () => {
  const [note] = await notes();
  await changePersonNote(database, siteId, note.noteId, { text: " new\r\ntext\u0000 ", isChange: false });
  const [changed] = await notes();
  expect(changed).toMatchObject({ text: "new\ntext", isChange: false, writtenAtMs: note.writtenAtMs });
  expect(changed.changedAtMs).toBeGreaterThanOrEqual(note.writtenAtMs);
  expect(await removePersonNote(database, siteId, note.noteId)).toBe(true);
  expect(await removePersonNote(database, siteId, note.noteId)).toBe(false);
  await expect(changePersonNote(database, siteId, note.noteId, plain("x"))).rejects.toMatchObject({
    code: "not-found",
  });
  await expect(changePersonNote(database, siteId + 1, note.noteId, plain("x"))).rejects.toMatchObject({
    code: "not-found",
  });
});

test("a text has 1 to 2,000 characters, counted as people count them as far as code points go", async () => {
  const about = { kind: "day", date: "2026-05-20" } as const;
  await expect(addPersonNote(database, siteId, about, plain(" \n\u0007 "))).rejects.toMatchObject({
    code: "bad-input",
    message: expect.stringContaining("no text"),
  });
  await expect(addPersonNote(database, siteId, about, plain("x".repeat(2001)))).rejects.toMatchObject({
    code: "bad-input",
    message: expect.stringMatching(/has 2001 characters; at most 2000/),
  });
  // Two UTF-16 units each; a lone half of one would be no text for PostgreSQL.
  const { noteId } = await addPersonNote(database, siteId, about, plain("🔥".repeat(1999)));
  await changePersonNote(database, siteId, noteId, plain("half \ud83d"));
  const written = (await notes()).find((one) => one.noteId === noteId);
  expect(written?.text).toBe("half \ufffd");
});

test("a day or an instant that there isn't is refused, and so are more notes than anybody writes", async () => {
  for (const date of ["2026-02-30", "2026-5-1", "", "tomorrow"]) {
    await expect(
      addPersonNote(database, siteId, { kind: "day", date }, plain("x")),
      date,
    ).rejects.toMatchObject({ code: "bad-input" });
  }
  for (const atMs of [Number.NaN, 0.5, 1e300]) {
    await expect(
      addPersonNote(database, siteId, { kind: "transfer", atMs }, plain("x")),
    ).rejects.toMatchObject({ code: "bad-input" });
  }
  const about = { kind: "day", date: "2026-05-25" } as const;
  for (let i = 0; i < 50; i++) await addPersonNote(database, siteId, about, plain(`note ${i}`));
  await expect(addPersonNote(database, siteId, about, plain("one more"))).rejects.toMatchObject({
    code: "conflict",
  });
});
