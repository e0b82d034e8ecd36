// Loaded into the web server's process before its own program. Next makes the server by itself and leaves it Node's
// limit of five minutes for a request to come in whole, which a large log on a slow line doesn't keep. A body of which
// nothing comes any more is given up by whoever reads it (app/_guard/heard-body.ts), long before this limit. Plain
// JavaScript, because the web server's process runs without tsx.

import { subscribe } from "node:diagnostics_channel";

/** The largest log, 16 GiB, at 3 Mbit/s. */
const LONGEST_REQUEST_MS = 12 * 3_600_000;

// The server looks at its limit every half a minute, so that from the first request on it is this one.
subscribe("http.server.request.start", ({ server }) => {
  server.requestTimeout = LONGEST_REQUEST_MS;
});
