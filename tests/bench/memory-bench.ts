import { spawn } from "node:child_process";
import { createReadStream, mkdtempSync, readdirSync, readFileSync, readlinkSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { Readable } from "node:stream";
import { openDatabase } from "../../db/open-database";
import { jobById } from "../../db/queries/job-by-id";
import { joinServer } from "../../db/server/join-server";
import { programRoot } from "../../db/server/program-root";
import { addSite } from "../../db/writes/add-site";
import { enqueueImport } from "../../db/writes/enqueue-import";
import type { BenchLine } from "./bench-line";
import type { BenchLog } from "./simulated-log";
import { untilAnswers } from "./until-answers";

const SAMPLE_MS = 250;

/**
 * Greatest memory of all Node processes of `serve` together (supervisor, worker, web server) while a log comes
 * in through the web and the worker imports and analyses it. Pages that processes share are counted once
 * (PSS, from /proc: Linux only).
 */
export async function memoryBench(log: BenchLog, name: string): Promise<BenchLine[]> {
  const dataDir = mkdtempSync(join(tmpdir(), "legroom-bench-serve-"));
  const port = 4000 + Math.floor(Math.random() * 1000);
  const serve = spawn(
    process.execPath,
    ["--import", "tsx", join("src", "cli", "main.ts"), "serve", "--port", String(port)],
    {
      cwd: programRoot(),
      env: { ...process.env, LEGROOM_DATA_DIR: dataDir },
      stdio: ["ignore", "ignore", "inherit"],
    },
  );
  try {
    const base = `http://127.0.0.1:${port}`;
    await untilAnswers(base, serve);
    const server = await joinServer({ dataDir });
    const database = await openDatabase({ url: server.url, max: 2 });
    const { siteId, slug } = await addSite(database, log.siteJson);
    const watch = watchMemory(serve.pid as number);
    const received = await fetch(`${base}/sites/${slug}/logs/upload?name=${basename(log.path)}`, {
      method: "POST",
      headers: { "content-type": "application/octet-stream", origin: base },
      body: Readable.toWeb(createReadStream(log.path)) as unknown as BodyInit,
      duplex: "half",
    } as RequestInit);
    if (!received.ok) throw new Error(`the upload was answered ${received.status}: ${await received.text()}`);
    const { logId } = (await received.json()) as { logId: number };
    const { jobId } = await enqueueImport(database, siteId, {
      logId,
      columnMap: log.map,
      evidence: null,
      allOrNothing: false,
    });
    for (;;) {
      const job = await jobById(database, siteId, jobId);
      if (job?.state === "done") break;
      if (job?.state === "failed" || job?.state === "cancelled") throw new Error(JSON.stringify(job.error));
      await new Promise((resolve) => setTimeout(resolve, SAMPLE_MS));
    }
    const peak = watch.end();
    await database.close();
    await server.leave();
    return [
      {
        name: `memory of all Node processes of serve, ${name} imported through the web`,
        value: peak.totalMb,
        limit: 450,
        unit: "MB",
        from: peak.each.map((mb) => mb.toFixed(0)).join(" + "),
      },
    ];
  } finally {
    serve.kill("SIGTERM");
    await new Promise((resolve) => serve.once("exit", resolve));
    rmSync(dataDir, { recursive: true, force: true });
  }
}

function watchMemory(rootPid: number): { end(): { totalMb: number; each: number[] } } {
  let best = { totalMb: 0, each: [] as number[] };
  const timer = setInterval(() => {
    const each = nodeProcesses(rootPid).map(pssMb);
    const totalMb = each.reduce((sum, mb) => sum + mb, 0);
    if (totalMb > best.totalMb) best = { totalMb, each };
  }, SAMPLE_MS);
  return {
    end() {
      clearInterval(timer);
      return best;
    },
  };
}

/** The process and those under it that run Node. */
function nodeProcesses(rootPid: number): number[] {
  const children = new Map<number, number[]>();
  for (const entry of readdirSync("/proc")) {
    if (!/^\d+$/.test(entry)) continue;
    const stat = quietly(() => readFileSync(`/proc/${entry}/stat`, "utf8"));
    if (stat === null) continue;
    const parent = Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]);
    children.set(parent, [...(children.get(parent) ?? []), Number(entry)]);
  }
  const found: number[] = [];
  const open = [rootPid];
  for (let pid = open.pop(); pid !== undefined; pid = open.pop()) {
    open.push(...(children.get(pid) ?? []));
    if (quietly(() => readlinkSync(`/proc/${pid}/exe`)) === process.execPath) found.push(pid);
  }
  return found;
}

function pssMb(pid: number): number {
  const rollup = quietly(() => readFileSync(`/proc/${pid}/smaps_rollup`, "utf8"));
  return Number(/^Pss:\s+(\d+) kB/m.exec(rollup ?? "")?.[1] ?? 0) / 1024;
}

/** A process may end while it is looked at. */
function quietly<T>(look: () => T): T | null {
  try {
    return look();
  } catch {
    return null;
  }
}
