import type { Metadata, Viewport } from "next";
import { connection } from "next/server";
import type { ReactNode } from "react";
import { Masthead } from "./_parts/masthead";
import "./tokens.css";
import "./base.css";

export const metadata: Metadata = {
  title: { default: "Legroom", template: "%s · Legroom" },
  description: "Does the inverter carry the load? Leg by leg, from a CSV log.",
};

export const viewport: Viewport = {
  width: "device-width",
  initialScale: 1,
  themeColor: [
    { media: "(prefers-color-scheme: light)", color: "#fbfaf6" },
    { media: "(prefers-color-scheme: dark)", color: "#171613" },
  ],
};

export default async function RootLayout({ children }: { children: ReactNode }) {
  // The security policy allows scripts by a nonce of the request, so no page can be made at build time.
  await connection();
  return (
    <html lang="en">
      <body>
        <Masthead />
        <main id="main" tabIndex={-1}>
          {children}
        </main>
      </body>
    </html>
  );
}
