// Loaded into each child of `serve` before its own program. The child's standard input is a pipe that `serve`
// holds open: it ends when `serve` does, even killed, and the child then ends too. Plain JavaScript, because the web
// server's process runs without tsx.

const GRACE_MS = 5_000;

process.stdin.on("close", () => {
  setTimeout(() => process.exit(1), GRACE_MS).unref();
  process.kill(process.pid, "SIGTERM");
});
process.stdin.on("error", () => {});
process.stdin.resume();
process.stdin.unref?.();
