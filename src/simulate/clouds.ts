import type { Scenario } from "./parse-scenario";
import { randomStream } from "./random-stream";

/** Share of the clear sky's light that comes through, second by second. */
export type Clouds = { beginDay(localDate: string): void; second(): number };

/**
 * Clouds of a site. Each day has its sky, told or drawn: clear, mixed (clouds come and go within minutes) or
 * overcast (a tenth to a third of the light, slowly changing). The light moves to its new level over about
 * half a minute, as a cloud's edge does.
 */
export function createClouds(sun: Scenario["sun"], seed: number): Clouds {
  const skyOf = randomStream(seed, "sky");
  const drift = randomStream(seed, "clouds");
  let sky: "clear" | "mixed" | "overcast" = "clear";
  let level = 1;
  let target = 1;
  let leftS = 0;
  return {
    beginDay(localDate) {
      const draw = skyOf();
      const drawn = draw < sun.overcast ? "overcast" : draw < sun.overcast + sun.mixed ? "mixed" : "clear";
      sky = sun.skies[localDate] ?? drawn;
      leftS = 0;
    },
    second() {
      if (leftS <= 0) {
        const share = drift();
        const length = drift();
        if (sky === "clear") {
          target = 0.96 + 0.04 * share;
          leftS = 600 + 1200 * length;
        } else if (sky === "overcast") {
          target = 0.08 + 0.24 * share;
          leftS = 300 + 1500 * length;
        } else {
          target = target > 0.6 ? 0.2 + 0.3 * share : 0.85 + 0.15 * share;
          leftS = 60 + 840 * length * length;
        }
      }
      leftS--;
      level += (target - level) / 20;
      return level;
    },
  };
}
