import type { Picture } from "./picture";

/**
 * The drawings that live on in the browser, each fetched when a person first points at one or reaches it by the
 * keyboard. A new one is a line here, and `live={{ picture, data }}` at its Drawing.
 */
export const PICTURES = {
  day: async () => (await import("./day-live")).picture,
  "around-transfer": async () => (await import("./around-transfer-live")).picture,
  "current-duration": async () => (await import("./current-duration-live")).picture,
  "legs-by-hour": async () => (await import("./legs-by-hour-live")).picture,
  "soc-by-hour": async () => (await import("./soc-by-hour-live")).picture,
  "energy-by-day": async () => (await import("./energy-by-day-live")).picture,
} satisfies { readonly [name: string]: () => Promise<Picture<never>> };

type Name = keyof typeof PICTURES;

/** A living drawing's name, and the plain data that it is drawn from. */
export type LivePicture = {
  [N in Name]: {
    picture: N;
    data: Awaited<ReturnType<(typeof PICTURES)[N]>> extends Picture<infer Data> ? Data : never;
  };
}[Name];
