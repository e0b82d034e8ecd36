"use client";

/** The last resort: the frame of the page itself could not be drawn. */
export default function GlobalError({ retry }: { retry: () => void }) {
  return (
    <html lang="en">
      <body style={{ fontFamily: "system-ui, sans-serif", padding: "2rem", colorScheme: "light dark" }}>
        <title>Not shown · Legroom</title>
        <h1>This page can’t be shown</h1>
        <p>The program met an error that it wasn’t made for. Your logs are kept as they came.</p>
        <button type="button" onClick={() => retry()}>
          Try again
        </button>
      </body>
    </html>
  );
}
