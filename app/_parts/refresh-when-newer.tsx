"use client";

import { useRouter } from "next/navigation";
import { useEffect } from "react";

const EVERY_MS = 1500;

/** Asks a small address for a mark, and renews the page when it is no longer the one given. */
export function RefreshWhenNewer({ href, than }: { href: string; than: string }) {
  const router = useRouter();
  useEffect(() => {
    const timer = setInterval(async () => {
      if (document.hidden) return;
      // The server may be restarting: then the next round asks again.
      const response = await fetch(href, { cache: "no-store" }).catch(() => null);
      if (response?.ok && (await response.text()) !== than) router.refresh();
    }, EVERY_MS);
    return () => clearInterval(timer);
  }, [href, than, router]);
  return null;
}
