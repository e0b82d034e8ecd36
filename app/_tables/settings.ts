import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import { SETTING_MEANINGS } from "../../src/report/setting-meaning";
import type { Table } from "./table";

/** Every setting with its value, its default and its meaning. */
export function settingsTable(settings: Settings): Table<keyof Settings> {
  return {
    name: "settings",
    caption: "Settings in force and their defaults",
    rows: Object.keys(DEFAULT_SETTINGS) as (keyof Settings)[],
    columns: [
      { title: "Setting", text: (key) => key, value: (key) => key },
      { title: "Here", numeric: true, text: (key) => String(settings[key]), value: (key) => settings[key] },
      {
        title: "Default",
        numeric: true,
        text: (key) => (settings[key] === DEFAULT_SETTINGS[key] ? "same" : String(DEFAULT_SETTINGS[key])),
        value: (key) => DEFAULT_SETTINGS[key],
      },
      { title: "Meaning", text: (key) => SETTING_MEANINGS[key], value: (key) => SETTING_MEANINGS[key] },
    ],
  };
}
