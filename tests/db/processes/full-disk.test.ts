import { spawnSync } from "node:child_process";
import {
  chmodSync,
  closeSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  rmSync,
  statfsSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { runLegroom } from "../../run-legroom";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "../small-log";
import { processesOf } from "./processes-of";

// Real disks that are really full: small ones in memory, which root may mount. Without root nothing is tried here, and
// the test says so in its name; in CI, where it should be possible, it then fails.

const MEGABYTE = 1 << 20;
const MAY = Date.UTC(2026, 4, 3);

let above: string;
let mounted: string[];

beforeEach(() => {
  above = mkdtempSync(join(tmpdir(), "legroom full "));
  chmodSync(above, 0o755);
  mounted = [];
  writeFileSync(join(above, "site.json"), JSON.stringify(SMALL_SITE));
  writeFileSync(join(above, "columns.json"), JSON.stringify(SMALL_MAP));
});

afterEach(() => {
  for (const path of mounted) spawnSync("umount", [path]);
  rmSync(above, { recursive: true, force: true });
});

if (canMount()) {
  test("a disk that fills up in the middle of an import is named, and with room again the import completes", async () => {
    const disk = mount("disk", 280);
    const environment = { LEGROOM_DATA_DIR: join(disk, "data") };
    const log = smallLog(smallRows({ fromMs: MAY, samples: 400_000 }));
    writeFileSync(join(above, "log.csv"), log.text);
    expect((await runLegroom(["site", "add", join(above, "site.json")], environment)).code).toBe(0);
    fill(join(disk, "filler"), roomOf(disk) - 40 * MEGABYTE);

    const words = [
      "import",
      join(above, "log.csv"),
      "--site",
      SMALL_SITE.name,
      "--columns",
      join(above, "columns.json"),
    ];
    const full = await runLegroom(words, environment);
    expect(full).toMatchObject({ code: 1, out: "" });
    expect(full.err).toMatch(/disk.* full.*Free some space/s);
    expect(processesOf(disk)).toEqual([]);

    rmSync(join(disk, "filler"));
    const sites = await runLegroom(["sites"], environment);
    expect(sites.out).toMatch(/no samples yet/);
    const again = await runLegroom(words, environment);
    expect(again.out).toMatch(/400000 records: 400000 taken/);
    expect(processesOf(disk)).toEqual([]);
  });

  test("a temporary folder without room for the sort of a log is named, and nothing is taken", async () => {
    const disk = mount("disk", 1);
    const [first, ...others] = smallRows({ fromMs: MAY, samples: 150_000 }).reverse();
    writeFileSync(join(above, "log.csv"), smallLog([first, ...others]).text);
    const words = [
      "review",
      join(above, "log.csv"),
      "--site",
      join(above, "site.json"),
      "--columns",
      join(above, "columns.json"),
    ];
    const full = await runLegroom(words, { TMPDIR: disk });
    expect(full).toMatchObject({ code: 1, out: "" });
    expect(full.err).toContain(`the temporary folder ${disk}, but its disk is full`);
    expect((await runLegroom(words)).out).toMatch(/150000 records: 150000 taken/);
  });
} else {
  test("full disks were NOT tried: only root may mount one here", () => {
    expect(process.env.CI ?? "").toBe("");
  });
}

function canMount(): boolean {
  const path = mkdtempSync(join(tmpdir(), "legroom mount "));
  try {
    if (spawnSync("mount", ["-t", "tmpfs", "-o", "size=1m", "none", path]).status !== 0) return false;
    return spawnSync("umount", [path]).status === 0;
  } finally {
    rmSync(path, { recursive: true, force: true });
  }
}

function mount(name: string, megabytes: number): string {
  const path = join(above, name);
  mkdirSync(path);
  expect(spawnSync("mount", ["-t", "tmpfs", "-o", `size=${megabytes}m,mode=755`, "none", path]).status).toBe(
    0,
  );
  mounted.push(path);
  return path;
}

function roomOf(path: string): number {
  const { bavail, bsize } = statfsSync(path);
  return bavail * bsize;
}

function fill(path: string, bytes: number): void {
  const file = openSync(path, "w");
  const block = Buffer.alloc(MEGABYTE);
  for (let left = bytes; left > 0; left -= block.length) writeSync(file, block);
  closeSync(file);
}
