import { connect } from "node:net";
import { setTimeout as sleep } from "node:timers/promises";

const READY_LIMIT_MS = 60_000;

/**
 * Waits for a web server: true when something takes connections there; false when told to end before, or after a
 * minute, which is said.
 */
export async function untilAnswers(
  host: string,
  port: number,
  signal: AbortSignal,
  say: (message: string) => void,
): Promise<boolean> {
  const target = host === "0.0.0.0" ? "127.0.0.1" : host === "::" ? "::1" : host;
  const deadline = performance.now() + READY_LIMIT_MS;
  while (!signal.aborted) {
    const answered = await new Promise<boolean>((resolve) => {
      const socket = connect({ host: target, port });
      socket.once("connect", () => resolve(true));
      socket.once("error", () => resolve(false));
      socket.once("close", () => resolve(false));
      const onAbort = () => socket.destroy();
      signal.addEventListener("abort", onAbort, { once: true });
      socket.once("close", () => signal.removeEventListener("abort", onAbort));
      socket.once("connect", () => socket.destroy());
    });
    if (answered) return true;
    if (performance.now() > deadline) {
      say(
        `The web server has not answered on port ${port} for ${READY_LIMIT_MS / 1000} s; it goes on trying.`,
      );
      return false;
    }
    await sleep(100);
  }
  return false;
}
