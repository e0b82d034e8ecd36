import type { ChildProcess } from "node:child_process";

/** Waits until `serve` answers, for two minutes. */
export async function untilAnswers(base: string, serve: ChildProcess): Promise<void> {
  for (let attempt = 0; attempt < 240; attempt++) {
    if (serve.exitCode !== null) throw new Error(`serve ended with ${serve.exitCode}`);
    const answered = await fetch(base).then(
      (response) => response.ok,
      () => false,
    );
    if (answered) return;
    await new Promise((resolve) => setTimeout(resolve, 500));
  }
  throw new Error("serve did not answer within two minutes");
}
