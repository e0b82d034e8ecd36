import { randomBytes } from "node:crypto";
import {
  chownSync,
  closeSync,
  existsSync,
  fsyncSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import { AppError } from "../app-error";
import { childEnvironment } from "./child-environment";
import { folderError } from "./folder-error";
import { runProgram } from "./run-program";
import { DATABASE } from "./running-server";
import type { ServerBinaries } from "./server-binaries";
import type { ServerFolder } from "./server-folder";
import type { ServerUser } from "./server-user";
import { startFailure } from "./start-failure";

/**
 * Makes PostgreSQL's data directory with its password, role and database, if there is none: whole or not at
 * all, so one that was broken off is thrown away at the next start.
 *
 * @throws AppError `server-version` when the data is of another major version than the binaries; `data-folder`,
 * `disk-full`, `server-start`.
 */
export async function createData(
  folder: ServerFolder,
  binaries: ServerBinaries,
  user: ServerUser | undefined,
): Promise<void> {
  for (const name of readdirSync(folder.server)) {
    if (name.startsWith("data.new-")) rmSync(join(folder.server, name), { recursive: true, force: true });
  }
  const versionFile = join(folder.data, "PG_VERSION");
  if (existsSync(versionFile)) {
    requireMajor(readFileSync(versionFile, "utf8").trim(), folder, binaries);
    return;
  }
  try {
    if (!existsSync(folder.password)) writePassword(folder.password, user);
    const beside = mkdtempSync(`${folder.data}.new-`);
    if (user) chownSync(beside, user.uid, user.gid);
    await runInitdb(beside, folder, binaries, user);
    renameSync(beside, folder.data);
  } catch (error) {
    throw folderError(error, folder.server);
  }
}

function requireMajor(found: string, folder: ServerFolder, binaries: ServerBinaries): void {
  if (found === String(binaries.major)) return;
  throw new AppError(
    "server-version",
    `The data in ${folder.data} was written by PostgreSQL ${found}, this program brings PostgreSQL ` +
      `${binaries.major}. Move ${folder.server} aside, start again with an empty one, and restore your last backup ` +
      "(legroom restore FILE). With the release that wrote it you can still make a backup first.",
  );
}

function writePassword(path: string, user: ServerUser | undefined): void {
  const beside = `${path}.${process.pid}`;
  const fd = openSync(/* turbopackIgnore: true */ beside, "w", 0o600);
  writeSync(fd, `${randomBytes(24).toString("base64url")}\n`);
  fsyncSync(fd);
  closeSync(fd);
  if (user) chownSync(beside, user.uid, user.gid);
  renameSync(beside, path);
}

async function runInitdb(
  data: string,
  folder: ServerFolder,
  binaries: ServerBinaries,
  user: ServerUser | undefined,
): Promise<void> {
  const options = {
    cwd: folder.server,
    env: childEnvironment(),
    ...(user && { uid: user.uid, gid: user.gid }),
  } as const;
  const steps = [
    {
      program: "initdb",
      given: ["-D", data, "-U", DATABASE, "--pwfile", folder.password, "--auth=scram-sha-256"],
      more: ["--locale=C", "--encoding=UTF8", "--data-checksums"],
      input: "",
    },
    {
      program: "postgres",
      given: ["--single", "-D", data, "-c", "log_min_messages=error"],
      more: ["postgres"],
      input: `create database ${DATABASE}\n`,
    },
  ];
  for (const { program, given, more, input } of steps) {
    const { code, said, error } = await runProgram(
      join(/* turbopackIgnore: true */ binaries.bin, program),
      [...given, ...more],
      options,
      input,
    );
    if (code === 0 && !/FATAL|ERROR/.test(said)) continue;
    rmSync(data, { recursive: true, force: true });
    throw startFailure(error ? `${error.message}\n${said}` : said, folder, error);
  }
  writeFileSync(
    join(data, "pg_hba.conf"),
    "# Written by this program: this machine only, with the password.\nhost all all 127.0.0.1/32 scram-sha-256\n",
  );
}
